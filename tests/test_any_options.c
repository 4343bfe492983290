/* SPDX-License-Identifier: MIT */
/* Whatever options there are together: those that go together work, and give a record that reads
 * back; one wrong word among them has its own exit status, one sentence, and leaves no file behind.
 * Command lines are drawn at random; each runs in a process of its own, from this one's memory. */
#define _XOPEN_SOURCE 700

#include <fcntl.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include "any_options.h"
#include "check.h"

#include <holdfast/cli.h>
#include <holdfast/replay.h>

enum { USAGE = 64, DATA = 65, INPUT = 66, CREATE = 73, SECONDS_MOST = 60 };

static int said; /* a file: what the command says on stderr */

static int begin(void **state)
{
    static const char rubbish[] = "[patch\nkind = drone\n";
    if (scratch_make(state) != 0)
        return -1;
    setenv("HOME", scratch_directory, 1);
    setenv("XDG_STATE_HOME", scratch("state"), 1);
    setenv("XDG_CONFIG_HOME", scratch("config"), 1);
    scratch_write("rubbish.ini", rubbish, sizeof rubbish - 1);
    mkfifo(scratch("fifo"), 0600);
    mkdir(scratch("directory"), 0700);
    said = fileno(tmpfile());
    return said < 0 ? -1 : 0;
}

/* ---- running --------------------------------------------------------------------------------- */

static int run_words(const struct any_line *line)
{
    char *argv[ANY_WORDS + 1] = {NULL};
    for (int i = 0; i < line->count; i++)
        argv[i] = (char *)(uintptr_t)line->word[i];
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (strcmp(each->name, argv[0]) == 0)
            return each->run(each, line->count, argv);
    return -1;
}

/* The exit status, or 128 and the number of the signal that ended it. */
static int run_line(const struct any_line *line)
{
    int status = 0;
    assert_int_equal(ftruncate(said, 0), 0);
    lseek(said, 0, SEEK_SET);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        int nowhere = open("/dev/null", O_RDWR);
        dup2(nowhere, 0);
        dup2(nowhere, 1);
        dup2(said, 2);
        alarm(SECONDS_MOST);
        int result = run_words(line);
        fflush(NULL);
        _exit(result);
    }
    while (waitpid(child, &status, 0) < 0)
        continue;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

static const char *what_was_said(void)
{
    static char text[4096];
    ssize_t length = pread(said, text, sizeof text - 1, 0);
    text[length < 0 ? 0 : length] = 0;
    return text;
}

static const char *words_of(const struct any_line *line)
{
    static char text[ANY_WORDS * (ANY_WORD + 3)];
    text[0] = 0;
    for (int i = 0; i < line->count; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "'%s' ", line->word[i]);
    return text;
}

static int amount(int check, int soak)
{
    return getenv("SOAK") ? soak : check;
}

/* ---- what goes together ---------------------------------------------------------------------- */

static void assert_reads_back(const struct any_line *line, const char *journal)
{
    struct hf_journal read;
    struct hf_replay replay = {0};
    struct hf_diag diag = {0};
    size_t length = 0;
    unsigned char *bytes = scratch_read(journal, &length);
    if (!bytes)
        fail_msg("%s leaves no record", words_of(line));
    enum hf_status status = hf_journal_parse((char *)bytes, length, &read, &diag);
    if (status != HF_OK || read.torn)
        fail_msg("%s: its record: %s", words_of(line), diag.message);
    status = hf_replay_init(&replay, &read, read.head.request.rate_hz, &diag);
    if (status != HF_OK)
        fail_msg("%s: its record: %s", words_of(line), diag.message);
    hf_replay_deinit(&replay);
    hf_journal_deinit(&read);
    free(bytes);
    remove(scratch(journal));
}

static void options_that_go_together_work(void **state)
{
    (void)state;
    static struct any_line line;
    int before = scratch_count(NULL);
    for (int i = 1; i <= amount(400, 10000); i++) {
        any_line(&line, (uint64_t)i, scratch("made.jsonl"));
        int status = run_line(&line);
        if (status != 0)
            fail_msg("line %d: %s: status %d: %s", i, words_of(&line), status, what_was_said());
        if (what_was_said()[0] && strncmp(what_was_said(), "holdfast: ", 10) != 0)
            fail_msg("line %d: %s: says %s", i, words_of(&line), what_was_said());
        assert_reads_back(&line, "made.jsonl");
        assert_int_equal(scratch_count(NULL), before);
    }
}

/* ---- one wrong word -------------------------------------------------------------------------- */

struct wrong {
    const char *key, *value; /* value NULL: none is given; '@': a file in the scratch directory */
    int status;
};

/* Wrong whatever else is there; the last of two options alike is the one that counts. */
static const struct wrong wrongs[] = {
    {"--seed", "-1", USAGE},
    {"--seed", "18446744073709551616", USAGE},
    {"--rate", "7999", USAGE},
    {"--rate", "192001", USAGE},
    {"--rate", "44100.5", USAGE},
    {"--a4", "379.9", USAGE},
    {"--a4", "480.1", USAGE},
    {"--a4", "nan", USAGE},
    {"--volume", "0.1", USAGE},
    {"--volume", "-40.1", USAGE},
    {"--room", "7", USAGE},
    {"--room", "1e999", USAGE},
    {"--every", "0.09s", USAGE},
    {"--every", "25", USAGE},
    {"--every", "3601s", USAGE},
    {"--lead-in", "-1s", USAGE},
    {"--lead-in", "2h", USAGE},
    {"--for", "0", USAGE},
    {"--for", "25h", USAGE},
    {"--rounds", "0", USAGE},
    {"--rounds", "10001", USAGE},
    {"--rounds", "1.5", USAGE},
    {"--tempo", "9", USAGE},
    {"--tempo", "1001", USAGE},
    {"--meter", "13", USAGE},
    {"--restrike", "0.4s", USAGE},
    {"--restrike", "61s", USAGE},
    {"--step", "0.9s", USAGE},
    {"--level", "7", USAGE},
    {"--level", "0", USAGE},
    {"--kind", "0", USAGE},
    {"--day", "2026-02-29", USAGE},
    {"--breathe", "1s..2s", USAGE},
    {"--breathe", "9s", USAGE},
    {"--held", "H", USAGE},
    {"--held", "", USAGE},
    {"--held", "{}", USAGE},
    {"--held", "0 1 2 3 4 5 6 7 8 9 10 11", USAGE},
    {"--added", "017", USAGE},
    {"--added", "3-13", USAGE},
    {"--cue", "loud", USAGE},
    {"--order", "backward", USAGE},
    {"--drone", "on", USAGE},
    {"--support", "half", USAGE},
    {"--tuning", "well", USAGE},
    {"--voicing", "odd", USAGE},
    {"--spread", "far", USAGE},
    {"--register", "C6:C4", USAGE},
    {"--register", "up", USAGE},
    {"--names", "latin", USAGE},
    {"--unfold", "everything", USAGE},
    {"--label", "a\033[31m", USAGE},
    {"--label", "\377", USAGE},
    {"--no-such-option", NULL, USAGE},
    {"--dry-run=yes", NULL, USAGE},
    {"-Z", NULL, USAGE},
    {"--seed", NULL, USAGE},
    {"--patch", "no-such-patch", INPUT},
    {"--cue-patch", "../../etc/no-such-patch", INPUT},
    {"--cue-patch", "@rubbish.ini", DATA},
    {"--cue-patch", "@fifo", DATA},
    {"--cue-patch", "@directory", DATA},
    {"--journal", "@nowhere/made.jsonl", CREATE},
    {"--journal", "@directory", CREATE},
    {"--journal", "@fifo", CREATE},
    {"two", "operands", USAGE},
};

/* A timbre is looked for where there is something to sound. */
static void let_sound(struct any_line *line)
{
    for (int i = 1; i < line->count; i++) {
        if (strcmp(line->word[i - 1], "--drone") == 0 && strcmp(line->word[i], "off") == 0)
            snprintf(line->word[i], ANY_WORD, "sustained");
        if (strcmp(line->word[i - 1], "--cue") == 0 && strcmp(line->word[i], "silent") == 0)
            snprintf(line->word[i], ANY_WORD, "lead");
    }
}

static void add_wrong(struct any_line *line, const struct wrong *wrong)
{
    if (strstr(wrong->key, "patch"))
        let_sound(line);
    any_add(line, "%s", wrong->key);
    if (wrong->value && wrong->value[0] == '@')
        any_add(line, "%s", scratch(wrong->value + 1));
    else if (wrong->value)
        any_add(line, "%s", wrong->value);
}

static void one_wrong_word_has_its_status_and_leaves_no_file(void **state)
{
    (void)state;
    static struct any_line line;
    enum { WRONGS = sizeof wrongs / sizeof wrongs[0] };
    int before = scratch_count(NULL);
    for (int i = 1; i <= amount(600, 10000); i++) {
        const struct wrong *wrong = &wrongs[i % WRONGS];
        any_line(&line, (uint64_t)i, scratch("made.jsonl"));
        add_wrong(&line, wrong);
        int status = run_line(&line);
        const char *text = what_was_said();
        if (status != wrong->status || strncmp(text, "holdfast: ", 10) != 0)
            fail_msg("line %d: %s: status %d, expected %d: %s", i, words_of(&line), status,
                     wrong->status, text);
        if (scratch_count(NULL) != before)
            fail_msg("line %d: %s: leaves a file", i, words_of(&line));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(options_that_go_together_work),
        cmocka_unit_test(one_wrong_word_has_its_status_and_leaves_no_file),
    };
    return cmocka_run_group_tests(tests, begin, scratch_remove);
}
