/* SPDX-License-Identifier: MIT */
/* Lesson pages as files; what they do in a browser is tests/lesson. published: the interface
 * contract (exit statuses, one file, escaped labels, the same bytes for the same command). */
#define _XOPEN_SOURCE 700

#include "run.h"

#include <stdlib.h>

#include <holdfast/base64.h>
#include <holdfast/sha256.h>

enum { USAGE = 64, DATA = 65, INPUT = 66, CREATE = 73, IO = 74 };

#define QUICK "--held", "C E G#", "--seed", "3", "--rounds", "1", "--every", "2s", "--lead-in", "1s"

/* The page of these options, its NUL after it; the caller frees it. */
static char *page_of(const char *option, const char *value, const char *more)
{
    size_t length = 0;
    if (option)
        run("sheet", QUICK, "-o", scratch("a.html"), option, value, more, NULL);
    else
        run("sheet", QUICK, "-o", scratch("a.html"), NULL);
    assert_ran();
    unsigned char *bytes = scratch_read("a.html", &length);
    char *page = malloc(length + 1);
    assert_non_null(page);
    memcpy(page, bytes, length);
    page[length] = 0;
    free(bytes);
    return page;
}

static int occurrences(const char *text, const char *of)
{
    int count = 0;
    for (const char *at = strstr(text, of); at; at = strstr(at + 1, of))
        count++;
    return count;
}

static void the_same_command_gives_the_same_bytes(void **state)
{
    (void)state;
    char *first = page_of(NULL, NULL, NULL), *second = page_of(NULL, NULL, NULL);
    assert_string_equal(first, second);
    free(first);
    free(second);
}

/* derived: one held set; six cues of six voicings. */
static void the_sound_is_inside_or_left_to_the_browser(void **state)
{
    (void)state;
    char *page = page_of(NULL, NULL, NULL);
    assert_int_equal(occurrences(page, "id=\"loop-"), 1);
    assert_int_equal(occurrences(page, "id=\"clip-"), 6);
    free(page);
    page = page_of("--synth", NULL, NULL);
    assert_int_equal(occurrences(page, "id=\"clip-"), 0);
    assert_true(strlen(page) < 200000);
    free(page);
    page = page_of("--drone", "off", NULL);
    assert_int_equal(occurrences(page, "id=\"loop-"), 0);
    free(page);
}

/* The text between two marks, its length in `*length`. */
static const char *between(const char *page, const char *before, const char *after, size_t *length)
{
    const char *from = strstr(page, before);
    assert_non_null(from);
    from += strlen(before);
    const char *to = strstr(from, after);
    assert_non_null(to);
    *length = (size_t)(to - from);
    return from;
}

/* published: CSP level 3, 6.7.3: a digest of the element's text in base64. */
static void the_policy_names_the_digests_of_what_is_there(void **state)
{
    (void)state;
    static const char *const elements[][3] = {{"<script>", "</script>", "script-src 'sha256-%s';"},
                                              {"<style>", "</style>", "style-src 'sha256-%s';"}};
    char *page = page_of("--synth", NULL, NULL);
    for (int i = 0; i < 2; i++) {
        unsigned char digest[HF_SHA256_BYTES];
        char text[64] = "", rule[128];
        size_t length = 0;
        const char *content = between(page, elements[i][0], elements[i][1], &length);
        assert_int_equal(occurrences(page, elements[i][0]), 1);
        hf_sha256(content, length, digest);
        hf_base64(digest, sizeof digest, text);
        snprintf(rule, sizeof rule, i ? "style-src 'sha256-%s';" : "script-src 'sha256-%s';", text);
        assert_int_equal(occurrences(page, rule), 1);
    }
    assert_int_equal(occurrences(page, "default-src 'none'"), 1);
    assert_int_equal(occurrences(page, "unsafe"), 0);
    free(page);
}

static void a_label_can_not_become_markup(void **state)
{
    (void)state;
    char *plain = page_of("--synth", "--label", "Ada");
    char *marked = page_of("--synth", "--label", "</script><!--<script><b>&\"");
    for (const char *const *each = (const char *const[]){"<b", "<!-", "<scr", "</scr", NULL}; *each;
         each++)
        assert_int_equal(occurrences(marked, *each), occurrences(plain, *each));
    assert_non_null(
        strstr(marked, "<title>&lt;/script&gt;&lt;!--&lt;script&gt;&lt;b&gt;&amp;&quot;"));
    free(plain);
    free(marked);
}

/* Pages of a class differ by label and seed; the journals sent back say whose they are. */
static void a_label_is_in_the_journals_to_come(void **state)
{
    (void)state;
    char *page = page_of("--synth", "--label", "Bo 2");
    assert_non_null(strstr(page, "\"label\":\"Bo 2\""));
    free(page);
}

static void a_recorded_session_makes_a_page(void **state)
{
    (void)state;
    run("render", QUICK, "--dry-run", "--journal", scratch("a.jsonl"), NULL);
    assert_ran();
    run("sheet", "--synth", "--journal", scratch("a.jsonl"), "-o", scratch("b.html"), NULL);
    assert_ran();
    char *page = page_of("--synth", NULL, NULL);
    scratch_write("a.html", page, strlen(page));
    size_t length = 0;
    unsigned char *again = scratch_read("b.html", &length);
    /* derived: the plan was played as it stood, so that the page of it is the same. */
    assert_int_equal(length, strlen(page));
    assert_memory_equal(page, again, length);
    free(again);
    free(page);
    run("sheet", "--journal", scratch("a.jsonl"), "--held", "C E G#", "-o", scratch("b.html"),
        NULL);
    assert_refused(USAGE, "leave out --held");
    run("sheet", "--journal", scratch("none.jsonl"), "-o", scratch("b.html"), NULL);
    assert_refused(INPUT, "none.jsonl");
    scratch_write("bad.jsonl", "{}\n", 3);
    run("sheet", "--journal", scratch("bad.jsonl"), "-o", scratch("c.html"), NULL);
    assert_refused(DATA, "no journal");
    assert_int_equal(scratch_count("c.html"), 0);
}

static void other_forms_are_refused_with_a_word(void **state)
{
    (void)state;
    static const char *const later[] = {"a.pdf", "a.svg", "a.musicxml", "a.mid"};
    for (int i = 0; i < 4; i++) {
        run("sheet", "-o", scratch(later[i]), NULL);
        assert_refused(USAGE, "not built yet");
    }
    run("sheet", "warmup", "-o", scratch("a.html"), NULL);
    assert_refused(USAGE, "a page of warmup is not built yet");
    run("sheet", "--speak", "-o", scratch("a.html"), NULL);
    assert_refused(USAGE, "does not speak");
    run("sheet", "--unfold", "all", "-o", scratch("a.html"), NULL);
    assert_refused(USAGE, "does not unfold a chord");
    run("sheet", "--support", "fading", "-o", scratch("a.html"), NULL);
    assert_refused(USAGE, "does not let go of the drone");
    run("sheet", "--tick", "on", "--tempo", "60", "-o", scratch("a.html"), NULL);
    assert_refused(USAGE, "does not keep the beat");
    run("sheet", "-o", scratch("a.doc"), NULL);
    assert_refused(USAGE, "known: .html");
    run("sheet", NULL);
    assert_refused(USAGE, "needs a file");
    run("sheet", QUICK, "--synth", "-o", scratch("none/a.html"), NULL);
    assert_refused(CREATE, "none/a.html");
    run("sheet", QUICK, "--every", "0.1s", "--rate", "192000", "-o", scratch("rate.html"), NULL);
    assert_ran();
    assert_int_equal(scratch_count(".holdfast"), 0);
}

/* A full disk, here a limit of the file's size: the page that was there stays. */
static void a_page_is_whole_or_not_there(void **state)
{
    (void)state;
    scratch_write("a.html", "old", 3);
    for (rlim_t bytes = 1; bytes < 100000; bytes = bytes * 3 + 7) {
        run_with.file_bytes = bytes;
        run("sheet", QUICK, "-o", scratch("a.html"), NULL);
        assert_refused(IO, "a.html");
        assert_true(scratch_is("a.html", "old"));
        assert_int_equal(scratch_count(".holdfast"), 0);
    }
}

static void a_page_may_wait_for_its_player(void **state)
{
    (void)state;
    char *page = page_of("--synth", "--every", "wait");
    assert_non_null(strstr(page, "\"wait\":true"));
    free(page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_command_gives_the_same_bytes),
        cmocka_unit_test(the_sound_is_inside_or_left_to_the_browser),
        cmocka_unit_test(the_policy_names_the_digests_of_what_is_there),
        cmocka_unit_test(a_label_can_not_become_markup),
        cmocka_unit_test(a_label_is_in_the_journals_to_come),
        cmocka_unit_test(a_recorded_session_makes_a_page),
        cmocka_unit_test(other_forms_are_refused_with_a_word),
        cmocka_unit_test(a_page_is_whole_or_not_there),
        cmocka_unit_test(a_page_may_wait_for_its_player),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
