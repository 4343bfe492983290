/* SPDX-License-Identifier: MIT */
/* Sessions that ended early, continued: cut off by a power cut at any line, left by the player at
 * any time; which one is the newest; what is refused. Expected cues are derived from the old
 * journal. */
#define _XOPEN_SOURCE 700

#include <sys/file.h>

#include <holdfast/conductor.h>
#include <holdfast/patchfile.h>

#include "run.h"
#include "player.h"

enum { LINES = 32, LINE = 8192 };

struct lines {
    char line[LINES][LINE];
    int count;
};

static struct lines old, new;

static void read_lines(const char *file, struct lines *out)
{
    size_t length = 0;
    unsigned char *text = scratch_read(file, &length);
    out->count = 0;
    assert_non_null(text);
    for (size_t at = 0, end; at < length && out->count < LINES; at = end + 1) {
        for (end = at; end < length && text[end] != '\n'; end++)
            ;
        snprintf(out->line[out->count++], LINE, "%.*s", (int)(end - at), (const char *)text + at);
    }
    free(text);
}

/* The notes of the i-th cue, "" for none. */
static const char *cue(const struct lines *lines, int i)
{
    static char notes[2][LINE];
    static int turn;
    for (int line = 0; line < lines->count; line++)
        if (strstr(lines->line[line], "\"t\":\"cue\"") && i-- == 0) {
            const char *from = strstr(lines->line[line], "\"pcs\"");
            char *to = notes[turn = !turn];
            snprintf(to, LINE, "%.*s", (int)(strstr(from, ",\"tell\"") - from), from);
            return to;
        }
    return "";
}

static int cues(const struct lines *lines)
{
    int count = 0;
    while (*cue(lines, count))
        count++;
    return count;
}

static void write_part(const char *file, const struct lines *from, int count)
{
    FILE *out = fopen(scratch(file), "wb");
    assert_non_null(out);
    for (int i = 0; i < count; i++)
        fprintf(out, "%s\n", from->line[i]);
    fclose(out);
}

static void render_whole(const char *held)
{
    unlink(scratch("whole.jsonl"));
    run("render", "--held", held, "--rounds", "2", "--seed", "7", "--dry-run", "--journal",
        scratch("whole.jsonl"), NULL);
    assert_ran();
    read_lines("whole.jsonl", &old);
}

static void go_on_from(const char *file)
{
    unlink(scratch("next.jsonl"));
    run("play", "--resume", scratch(file), "--dry-run", "--journal", scratch("next.jsonl"), NULL);
}

/* derived: a cue is written ahead when the one before it begins, so the last but one is the last
 * that is known to have begun, and all before it are whole */
static void a_power_cut_at_any_line_goes_on_with_the_cue_that_ran(void **state)
{
    (void)state;
    render_whole("C E G#");
    assert_int_equal(cues(&old), 12);
    for (int count = 3; count < old.count; count++) {
        struct lines part = old;
        part.count = count;
        write_part("cut.jsonl", &old, count);
        go_on_from("cut.jsonl");
        assert_ran();
        read_lines("next.jsonl", &new);
        int whole = cues(&part) > 2 ? cues(&part) - 2 : 0;
        assert_int_equal(cues(&new), 12 - whole);
        for (int i = 0; i < 12 - whole; i++)
            assert_string_equal(cue(&new, i), cue(&old, whole + i));
        char names[80];
        snprintf(names, sizeof names, "\"continues\":\"cut.jsonl\",\"done\":%d,", whole);
        assert_non_null(strstr(new.line[0], names));
    }
}

/* At every byte (in a check, of two lines in the middle and here and there in the head): what is
 * torn counts for nothing, as if the cut had been before it; without a whole head there is no
 * session. */
static void a_power_cut_at_any_byte_goes_on_as_from_the_whole_lines(void **state)
{
    (void)state;
    bool soaks = getenv("SOAK") != NULL;
    size_t length = 0, next = 0, runs = 0;
    render_whole("C E G#");
    char *text = (char *)scratch_read("whole.jsonl", &length);
    assert_non_null(text);
    int whole = 0; /* lines */
    for (size_t cut = 1; cut < length; cut++) {
        whole += text[cut - 1] == '\n';
        bool tried = whole == 0 ? soaks || cut % 97 == 0 : whole >= 3 && (soaks || whole / 2 == 4);
        if (!tried)
            continue;
        scratch_write("cut.jsonl", text, cut);
        go_on_from("cut.jsonl");
        runs++;
        if (ran.status != (whole ? 0 : 65))
            fail_msg("cut at %zu of %zu: status %d, %s", cut, length, ran.status, ran.err);
        unsigned char *left = scratch_read("next.jsonl", &next);
        assert_true((left != NULL) == (whole > 0));
        free(left);
        if (!whole)
            continue;
        read_lines("next.jsonl", &new);
        struct lines part = old;
        part.count = whole;
        int done = cues(&part) > 2 ? cues(&part) - 2 : 0;
        if (cues(&new) != 12 - done)
            fail_msg("cut at %zu of %zu: %d cues are left", cut, length, cues(&new));
        assert_string_equal(cue(&new, 0), cue(&old, done));
    }
    assert_true(runs > 300);
    free(text);
}

static void a_session_continued_twice_is_the_whole_one(void **state)
{
    (void)state;
    render_whole("D F# A#");
    write_part("cut.jsonl", &old, 8);
    go_on_from("cut.jsonl");
    assert_ran();
    read_lines("next.jsonl", &new);
    int done = 12 - cues(&new);
    write_part("again.jsonl", &new, 5); /* the head, the hold, three cues: one of them whole */
    go_on_from("again.jsonl");
    assert_ran();
    read_lines("next.jsonl", &new);
    assert_int_equal(cues(&new), 12 - done - 1);
    assert_string_equal(cue(&new, 0), cue(&old, done + 1));
}

/* Orders, voicings and shapes that depend on what was not asked for too. */
static void chords_and_hands_go_on_as_they_would_have(void **state)
{
    (void)state;
    static const char *const sessions[][6] = {{"--from", "D3 G3 C4 E4 G#4 C#5"},
                                              {"--hand", "guitar", "--hold", "hand"},
                                              {"--hand", "guitar", "--held", "C E G#"},
                                              {"--hand", "keys", "--register", "all"},
                                              {"--cue", "reverse"}};
    for (size_t i = 0; i < sizeof sessions / sizeof sessions[0]; i++) {
        const char *const *o = sessions[i];
        unlink(scratch("whole.jsonl"));
        run("render", "--rounds", "2", "--seed", "5", "--dry-run", "--journal",
            scratch("whole.jsonl"), o[0], o[1], o[2], o[3], NULL);
        assert_ran();
        read_lines("whole.jsonl", &old);
        struct lines part = old;
        part.count = 9;
        write_part("cut.jsonl", &old, 9);
        go_on_from("cut.jsonl");
        assert_ran();
        read_lines("next.jsonl", &new);
        int whole = cues(&part) - 2, count = cues(&old);
        assert_int_equal(cues(&new), count - whole);
        for (int c = whole; c < count; c++)
            assert_string_equal(cue(&new, c - whole), cue(&old, c));
    }
}

/* ---- left by the player ---------------------------------------------------------------------- */

static void begin(void)
{
    hf_request_init(&request);
    assert_ok(hf_request_set(&request, HF_OPT_HELD, "C E G#", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_RATE, "8000", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_EVERY, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_LEAD_IN, "1s", NULL));
    assert_ok(hf_request_set(&request, HF_OPT_SEED, "3", NULL));
    assert_ok(hf_request_resolve(&request, NULL));
    lay_session();
    read_lines("whole.jsonl", &old); /* for its patches */
    const char *patches = strstr(old.line[0], "\"patches\"");
    assert_non_null(patches);
    v.length = write_head(v.lines, &request, STARTED, hf_patchfile_find_builtin("stopped-pipe"),
                          hf_patchfile_find_builtin("plucked-nylon"));
    virtual_tend(&v);
}

/* Cues of 1 s from 1 s on; left at many times, with turns before: the cue that was cut comes first.
 */
static void whoever_leaves_in_a_cue_goes_on_with_it(void **state)
{
    (void)state;
    render_whole("C E G#");
    for (int64_t at = 500; at < 12500; at += 640) {
        begin();
        run_to(3200);
        assert_ok(press(HF_KEY_SOFTER));
        run_to(at);
        assert_ok(press(HF_KEY_QUIT));
        run_to(30000);
        scratch_write("left.jsonl", v.lines, v.length);
        read_lines("left.jsonl", &old);
        go_on_from("left.jsonl");
        assert_ran();
        read_lines("next.jsonl", &new);
        int64_t end = conductor.timeline.end_at;
        int whole = end < 8000 ? 0 : (int)(end / 8000) - 1; /* derived: it began at 8000 (i + 1) */
        assert_int_equal(cues(&new), 12 - whole);
        assert_string_equal(cue(&new, 0), cue(&old, whole));
        bool turned = strstr(v.lines, "\"t\":\"volume\"") != NULL;
        assert_true(turned || end < 3300);
        assert_non_null(strstr(new.line[0], turned ? "\"volume\":\"-1\"" : "\"volume\":\"0\""));
        hf_conductor_deinit(&conductor);
        virtual_end(&v);
    }
}

static void what_came_otherwise_is_drawn_anew(void **state)
{
    (void)state;
    render_whole("C E G#");
    /* Two cues change places: no schedule gives them so. */
    begin();
    run_to(8000 * 6);
    assert_ok(press(HF_KEY_QUIT));
    run_to(80000);
    char *twice = strstr(v.lines, "\"t\":\"cue\"");
    assert_non_null(twice);
    struct hf_journal journal;
    assert_ok(hf_journal_parse(v.lines, v.length, &journal, NULL));
    struct hf_record first = journal.records[1];
    journal.records[2].pcs = first.pcs;
    journal.records[2].id = first.id;
    memcpy(journal.records[2].notes, first.notes, sizeof first.notes);
    memcpy(journal.records[2].names, first.names, sizeof first.names);
    FILE *out = fopen(scratch("odd.jsonl"), "wb");
    char *line;
    size_t length;
    assert_ok(hf_journal_format_head(&journal.head, &line, &length, NULL));
    fwrite(line, 1, length, out);
    free(line);
    for (size_t i = 0; i < journal.count; i++) {
        assert_ok(hf_journal_format(&journal.records[i], &line, &length, NULL));
        fwrite(line, 1, length, out);
        free(line);
    }
    fclose(out);
    hf_journal_deinit(&journal);
    go_on_from("odd.jsonl");
    assert_ran();
    read_lines("next.jsonl", &new);
    assert_int_equal(cues(&new), 12 - 5);
    assert_null(strstr(new.line[0], "\"seed\":\"3\"")); /* the old one would begin as before */
    hf_conductor_deinit(&conductor);
    virtual_end(&v);
}

/* ---- which one ------------------------------------------------------------------------------- */

static void put_state(const char *name, int count)
{
    char path[64];
    mkdir(scratch("state"), 0700);
    mkdir(scratch("state/holdfast"), 0700);
    snprintf(path, sizeof path, "state/holdfast/%s", name);
    write_part(path, &old, count);
}

static const char *continues(void)
{
    static char name[64];
    unlink(scratch("next.jsonl"));
    run("play", "--resume", "--dry-run", "--journal", scratch("next.jsonl"), NULL);
    if (ran.status != 0)
        return "";
    read_lines("next.jsonl", &new);
    const char *at = strstr(new.line[0], "\"continues\":\"") + 13;
    snprintf(name, sizeof name, "%.*s", (int)strcspn(at, "\""), at);
    return name;
}

static void the_newest_that_ended_early_goes_on(void **state)
{
    (void)state;
    render_whole("C E G#");
    assert_string_equal(continues(), "");
    assert_refused(64, "no session has ended early that could be continued");
    put_state("2026-11-24-080000.jsonl", 6);
    assert_string_equal(continues(), "2026-11-24-080000.jsonl");
    put_state("2026-11-25-080000.jsonl", 6);
    put_state("2026-11-25-090000.jsonl", old.count);               /* it came to its end */
    write_part("state/holdfast/2026-11-26-000000.jsonl", &old, 1); /* no session in it */
    scratch_write("state/holdfast/2026-11-26-000001.jsonl", "nothing\n", 8);
    assert_string_equal(continues(), "2026-11-25-080000.jsonl");
    int playing = open(scratch("state/holdfast/2026-11-25-080000.jsonl"), O_RDONLY);
    assert_int_equal(flock(playing, LOCK_EX | LOCK_NB), 0);
    assert_string_equal(continues(), "2026-11-24-080000.jsonl");
    close(playing);
    assert_string_equal(continues(), "2026-11-25-080000.jsonl");
    old = new; /* it is continued, to its end: the one before it is next */
    put_state("2026-11-27-080000.jsonl", old.count);
    assert_string_equal(continues(), "2026-11-24-080000.jsonl");
    put_state("2026-11-27-080000.jsonl", 5); /* and that one ended early too */
    assert_string_equal(continues(), "2026-11-27-080000.jsonl");
}

static void what_can_not_go_on_is_refused(void **state)
{
    (void)state;
    render_whole("C E G#");
    go_on_from("whole.jsonl");
    assert_refused(64, "came to its end");
    go_on_from("none.jsonl");
    assert_refused(66, "none.jsonl");
    unlink(scratch("path.jsonl"));
    run("render", "--from", "C3 E3 G#3 F4 F#4 B4", "--to", "D F# A# C C# G", "--dry-run",
        "--journal", scratch("path.jsonl"), NULL);
    assert_ran();
    struct lines path;
    read_lines("path.jsonl", &path);
    write_part("cut.jsonl", &path, path.count - 1);
    go_on_from("cut.jsonl");
    assert_refused(64, "a path from chord to chord can't be continued");
    write_part("cut.jsonl", &old, 6);
    run("play", "--resume", scratch("cut.jsonl"), "--every", "3s", "--dry-run", NULL);
    assert_refused(64, "--resume goes on with the session as it was: leave out --every");
    run("play", "--resume", scratch("cut.jsonl"), scratch("cut.jsonl"), NULL);
    assert_refused(64, "--resume takes one journal");
    run("play", "--resume", "--save", "me", NULL);
    assert_refused(64, "--resume takes one journal");
    run("render", "--resume", "-o", scratch("x.wav"), NULL);
    assert_refused(64, "resume");
}

static int remove_all(void **state)
{
    DIR *directory = opendir(scratch("state/holdfast"));
    for (struct dirent *entry; directory && (entry = readdir(directory));) {
        char path[300];
        snprintf(path, sizeof path, "state/holdfast/%s", entry->d_name);
        unlink(scratch(path));
    }
    if (directory)
        closedir(directory);
    rmdir(scratch("state/holdfast"));
    return scratch_remove(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_power_cut_at_any_line_goes_on_with_the_cue_that_ran),
        cmocka_unit_test(a_power_cut_at_any_byte_goes_on_as_from_the_whole_lines),
        cmocka_unit_test(a_session_continued_twice_is_the_whole_one),
        cmocka_unit_test(chords_and_hands_go_on_as_they_would_have),
        cmocka_unit_test(whoever_leaves_in_a_cue_goes_on_with_it),
        cmocka_unit_test(what_came_otherwise_is_drawn_anew),
        cmocka_unit_test(the_newest_that_ended_early_goes_on),
        cmocka_unit_test(what_can_not_go_on_is_refused),
    };
    return cmocka_run_group_tests(tests, scratch_make, remove_all);
}
