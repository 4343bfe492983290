/* SPDX-License-Identifier: MIT */
/*
 * A review beside SQLite (derived: every figure is recomputed by SQL from the lines of the journals
 * themselves, by the rules of the journal as the contract has them), on random sessions of every
 * practice.
 */
#define _XOPEN_SOURCE 700
#include "scratch.h"

#include "virtual.h"

#include <math.h>
#include <sqlite3.h>

#include <holdfast/review_files.h>

#include "sessions.h"

enum { JOURNALS = 140, SECONDS = 12 };

static sqlite3 *db;

static void sql(const char *text)
{
    char *error = NULL;
    if (sqlite3_exec(db, text, NULL, NULL, &error) != SQLITE_OK)
        fail_msg("%s", error);
}

/* The first value of the first row; -1 for null or none. */
static double ask(const char *format, ...)
{
    char text[4096];
    sqlite3_stmt *statement = NULL;
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (sqlite3_prepare_v2(db, text, -1, &statement, NULL) != SQLITE_OK)
        fail_msg("%s: %s", sqlite3_errmsg(db), text);
    double value = -1;
    if (sqlite3_step(statement) == SQLITE_ROW && sqlite3_column_type(statement, 0) != SQLITE_NULL)
        value = sqlite3_column_double(statement, 0);
    sqlite3_finalize(statement);
    return value;
}

static void load(const char *file, const char *text, size_t length)
{
    sqlite3_stmt *statement = NULL;
    assert_int_equal(sqlite3_prepare_v2(db, "insert into line values (?, ?)", -1, &statement, NULL),
                     SQLITE_OK);
    for (size_t at = 0; at < length;) {
        const char *newline = memchr(text + at, '\n', length - at);
        size_t size = (size_t)(newline - text) - at;
        sqlite3_bind_text(statement, 1, file, -1, SQLITE_TRANSIENT);
        sqlite3_bind_text(statement, 2, text + at, (int)size, SQLITE_TRANSIENT);
        assert_int_equal(sqlite3_step(statement), SQLITE_DONE);
        sqlite3_reset(statement);
        at += size + 1;
    }
    sqlite3_finalize(statement);
}

/* The forms of the two classes that are added, as lists. */
static void load_forms(void)
{
    for (unsigned set = 1; set < HF_SETS; set++) {
        const char *name = hf_setclass_of((hf_pcset)set)->name;
        char text[64], list[48] = "";
        if (strcmp(name, "3-5") != 0 && strcmp(name, "3-1") != 0)
            continue;
        for (int pc = 0; pc < HF_PCS; pc++)
            if (set >> pc & 1)
                snprintf(list + strlen(list), sizeof list - strlen(list), "%s%d", *list ? "," : "",
                         pc);
        snprintf(text, sizeof text, "insert into form values ('%s','[%s]')", name, list);
        sql(text);
    }
}

static void begin_database(void)
{
    assert_int_equal(sqlite3_open(":memory:", &db), SQLITE_OK);
    sql("create table line (file, json); create table form (class, pcs)");
    load_forms();
}

/* From lines to cues with their times as they came to be. */
static void derive(void)
{
    sql("create table journal as select file, substr(json ->> '$.started', 1, 10) as date, "
        "strftime('%s', json ->> '$.started') + 0 as began, json ->> '$.rate' as rate, "
        "json ->> '$.request.practice' as practice, json ->> '$.request.cue' as cue, "
        "json ->> '$.request.every' as every, json ->> '$.request.added' as added, "
        "json ->> '$.label' as label from line where json ->> '$.t' = 'session'");
    sql("create table record as select file, json ->> '$.n' as n, json ->> '$.t' as t, "
        "json ->> '$.at' as at, json from line where json ->> '$.t' <> 'session'");
    sql("create index of_file on record (file, t, n)");
    sql("create table ending as select file, at as end_at, (select s.at from record s where "
        "s.file = e.file and s.t = 'stay' and s.n > coalesce((select max(g.n) from record g where "
        "g.file = e.file and g.t = 'go'), 0) order by s.n desc limit 1) as stay_at "
        "from record e where t = 'end'");
    /* go moves what is later than its stay, next what is later than itself */
    sql("create table mover as select file, n, t, at, json ->> '$.shift' as shift, "
        "row_number() over (partition by file order by n) as k from record "
        "where t in ('go', 'next') and json ->> '$.shift' is not null");
    sql("create table timed as with recursive move(file, n, at, k) as ("
        "select file, n, at, coalesce((select max(k) from mover m where m.file = r.file and "
        "m.n < r.n), 0) from record r where t = 'cue' and at is not null union all "
        "select c.file, c.n, case when c.at > (case m.t when 'go' then m.at - m.shift else m.at "
        "end) then c.at + m.shift else c.at end, m.k from move c join mover m on m.file = c.file "
        "and m.k = c.k + 1) select file, n, at, k from move");
    sql("create index of_timed on timed (file, n, k)");
    /* cues without a time begin with the presses, one after another */
    sql("create table press as select r.file, r.at, row_number() over (partition by r.file order "
        "by n) as k from record r where t = 'next' and json ->> '$.shift' is null");
    sql("create table asked as select r.file, r.n, r.json, row_number() over (partition by r.file "
        "order by r.n) as place, (select count(*) from record x where x.file = r.file and x.t = "
        "'cue' and x.at is not null) as fixed from record r where t = 'cue'");
    sql("create table cue as select a.file, a.n, a.json, coalesce((select t.at from timed t where "
        "t.file = a.file and t.n = a.n order by t.k desc limit 1), (select p.at from press p "
        "where p.file = a.file and p.k = a.place - a.fixed)) as at, (select h.json from record h "
        "where h.file = a.file and h.t = 'hold' and h.n < a.n order by h.n desc limit 1) as held "
        "from asked a");
    sql("create table given as select c.file, c.n, c.at, j.began, j.date, j.rate, "
        "case j.practice when 'improvise' then case j.cue when 'ear' then 'heard' else j.cue end "
        "else j.practice end as way, "
        "iif(j.cue = 'reverse', c.json ->> '$.pcs', c.held ->> '$.pcs') as held, "
        "iif(j.cue = 'reverse', c.held ->> '$.pcs', c.json ->> '$.pcs') as pcs, "
        "c.json ->> '$.id' as id, j.added, c.json ->> '$.frets' as frets, "
        "(select min(value) from json_each(c.json, '$.notes')) as low, "
        "(select max(value) from json_each(c.json, '$.notes')) as high, "
        "(select min(value) from json_each(c.held, '$.notes')) as held_low, "
        "(select max(value) from json_each(c.held, '$.notes')) as held_high, "
        "(select m.json ->> '$.as' from record m where m.file = c.file and m.t = 'mark' and "
        "m.json ->> '$.cue' = c.n order by m.n desc limit 1) as mark, "
        "(select m.at from record m where m.file = c.file and m.t = 'mark' and "
        "m.json ->> '$.cue' = c.n order by m.n limit 1) as marked_at, e.end_at "
        "from cue c join journal j on j.file = c.file join ending e on e.file = c.file "
        "where c.at <= e.end_at and (e.stay_at is null or c.at <= e.stay_at)");
    sql("create table counted as select g.*, (marked_at - at) * 10 as tenth_samples, "
        "lead(g.at) over (partition by g.file order by g.n) as next_at from given g "
        "where id > 0 and exists (select 1 from form f where f.class = g.added and f.pcs = g.pcs)");
    sql("create index of_counted on counted (held, pcs)");
}

static void list_text(hf_pcset set, char text[48])
{
    int list[HF_PCS], count = hf_pcset_list(set, list);
    snprintf(text, 48, "[");
    for (int i = 0; i < count; i++)
        snprintf(text + strlen(text), 48 - strlen(text), "%s%d", i ? "," : "", list[i]);
    snprintf(text + strlen(text), 48 - strlen(text), "]");
}

static void same(double review, double sql_says, const char *what, const char *where)
{
    if (fabs(review - sql_says) > 1e-9)
        fail_msg("%s %s: %g, SQL says %g", where, what, review, sql_says);
}

static void compare_counts(const struct hf_review_cell *cell, const char *where)
{
    same(cell->cued, ask("select count(*) from counted where %s", where), "cued", where);
    same(cell->got, ask("select count(*) from counted where mark = 'got' and %s", where), "got",
         where);
    same(cell->missed, ask("select count(*) from counted where mark = 'missed' and %s", where),
         "missed", where);
    for (int way = 0; way < HF_REVIEW_WAYS; way++)
        same(cell->ways[way],
             ask("select count(*) from counted where way = '%s' and %s",
                 hf_review_way_word((enum hf_review_way)way), where),
             hf_review_way_word((enum hf_review_way)way), where);
    same(cell->registers[HF_REVIEW_ABOVE],
         ask("select count(*) from counted where low > held_high and %s", where), "above", where);
    same(cell->registers[HF_REVIEW_BELOW],
         ask("select count(*) from counted where high < held_low and %s", where), "below", where);
    same(cell->registers[HF_REVIEW_THROUGH],
         ask("select count(*) from counted where low <= held_high and high >= held_low and %s",
             where),
         "through", where);
    same(cell->last_day,
         ask("select max(julianday(date)) - 2440587.5 from counted where %s", where), "last",
         where);
}

static void compare_answers(const struct hf_review_cell *cell, const char *where)
{
    static const double shares[] = {0.25, 0.5, 0.75};
    const char *timed =
        "select min(6000, (tenth_samples + rate / 2) / rate) as tenths from counted "
        "where marked_at >= at and";
    same(hf_review_answers(cell), ask("select count(*) from (%s %s)", timed, where), "answers",
         where);
    for (int i = 0; i < 3 && hf_review_answers(cell) > 0; i++)
        same(hf_review_quantile(cell, shares[i]),
             ask("select min(tenths) / 10.0 from (select tenths, row_number() over (order by "
                 "tenths) as place, count(*) over () as whole from (%s %s)) where place >= %g * "
                 "whole",
                 timed, where, shares[i]),
             "quantile", where);
}

static void compare_rest(const struct hf_review_cell *cell, const char *where)
{
    same(cell->recent,
         ask("select coalesce(sum((mark = 'got') << place), 0) from (select mark, row_number() "
             "over (order by began desc, file desc, n desc) - 1 as place from counted where mark "
             "is not null and %s) where place < 20",
             where),
         "last marks", where);
    same((double)cell->roam_ms,
         ask("select coalesce(sum(((min(coalesce(next_at, end_at), end_at) - at) * 1000 + rate / "
             "2) / rate), 0) from counted where way = 'roam' and %s",
             where),
         "roam", where);
    same((double)cell->shape_count,
         ask("select count(distinct frets) from counted where %s", where), "shapes", where);
    for (size_t i = 0; i < cell->shape_count; i++) {
        char frets[96] = "[";
        for (int string = 0; string < cell->shapes[i].strings; string++) {
            char fret[8] = "null";
            if (cell->shapes[i].frets[string] != HF_SILENT)
                snprintf(fret, sizeof fret, "%d", cell->shapes[i].frets[string]);
            snprintf(frets + strlen(frets), sizeof frets - strlen(frets), "%s%s", string ? "," : "",
                     fret);
        }
        same(cell->shapes[i].cued,
             ask("select count(*) from counted where frets = '%s]' and %s", frets, where), frets,
             where);
    }
}

static void compare(const struct hf_review *review)
{
    same(review->sessions, ask("select count(*) from journal"), "sessions", "");
    same((double)review->day_count, ask("select count(distinct date) from journal"), "days", "");
    for (size_t i = 0; i < review->day_count; i++) {
        char where[64];
        snprintf(where, sizeof where, "julianday(date) - 2440587.5 = %d", (int)review->days[i].day);
        same(review->days[i].sessions, ask("select count(*) from journal where %s", where),
             "sessions", where);
        same((double)review->days[i].ms,
             ask("select sum((end_at * 1000 + rate / 2) / rate) from journal join ending using "
                 "(file) where %s",
                 where),
             "minutes", where);
    }
    same((double)review->cell_count,
         ask("select count(*) from (select distinct held, pcs from counted)"), "completions", "");
    for (size_t i = 0; i < review->cell_count; i++) {
        const struct hf_review_cell *cell = &review->cells[i];
        char where[160], held[48], pcs[48];
        list_text(cell->held, held);
        list_text(cell->pcs, pcs);
        snprintf(where, sizeof where, "held = '%s' and pcs = '%s'", held, pcs);
        compare_counts(cell, where);
        compare_answers(cell, where);
        compare_rest(cell, where);
    }
    same(review->near_right, ask("select count(*) from given where id = 0 and mark = 'got'"),
         "near misses right", "");
    same(review->near_wrong, ask("select count(*) from given where id = 0 and mark = 'missed'"),
         "near misses wrong", "");
}

static void write_journals(void)
{
    static struct virtual_session v;
    static struct hf_request request;
    struct hf_random random;
    hf_random_init(&random, 8, 8);
    sql("begin");
    for (int i = 0; i < JOURNALS; i++) {
        char started[40], name[24];
        /* a clock that goes back now and then, and the zones of a tour */
        snprintf(started, sizeof started, "2026-11-%02dT%02d:%02d:%02d%c%02d:30",
                 1 + (int)hf_random_below(&random, 28), (int)hf_random_below(&random, 24),
                 (int)hf_random_below(&random, 60), i % 60, i % 3 ? '+' : '-',
                 (int)hf_random_below(&random, 12));
        snprintf(name, sizeof name, "%04d.jsonl", i);
        session_request(&request, (uint64_t)i);
        session_play(&v, &request, started, (uint64_t)i, SECONDS);
        scratch_write(name, v.lines, v.length);
        load(name, v.lines, v.length);
        if (i % 10 == 0)
            scratch_write("copy.jsonl", v.lines, v.length);
        virtual_end(&v);
    }
    sql("commit");
}

static void sqlite_counts_the_same(void **state)
{
    (void)state;
    struct hf_review_filter all = {0};
    struct hf_review_files files;
    begin_database();
    write_journals();
    scratch_write("notes.jsonl", "{\"a\":1}\n", 8);
    derive();
    assert_true(ask("select count(*) from counted where mark is not null") > 200);
    assert_true(ask("select count(*) from mover") > 100);
    assert_true(ask("select count(*) from cue") > ask("select count(*) from given"));
    /* from the files, then by the index, which must say the same */
    for (int round = 0; round < 2; round++) {
        assert_ok(hf_review_directory(scratch_directory, INT64_MAX, &all, &files, NULL));
        assert_int_equal(files.read, round ? 0 : JOURNALS + 2);
        assert_int_equal(files.left_count, 2); /* the copy and the notes */
        compare(&files.review);
        hf_review_files_deinit(&files);
    }
    sqlite3_close(db);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(sqlite_counts_the_same, scratch_make, scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
