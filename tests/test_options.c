/* SPDX-License-Identifier: MIT */
/* Every option of every command reaches its command as itself, however many there are. */
#include "check.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/cli.h>

struct taken {
    int count, code;
    char text[8];
};

static enum hf_status take(void *self, int code, const char *text, struct hf_diag *diag)
{
    struct taken *taken = self;
    (void)diag;
    taken->count++;
    taken->code = code;
    snprintf(taken->text, sizeof taken->text, "%s", text ? text : "");
    return HF_OK;
}

static void parse_as(const struct hf_cli_command *command, const struct hf_cli_option *option,
                     const char *word)
{
    char name[16], typed[64], value[8] = "7";
    char *argv[] = {name, typed, value, NULL};
    int first = 0, argc = option->argument ? 3 : 2;
    bool stop = false;
    struct taken taken = {0};
    struct hf_diag diag = {0};
    snprintf(name, sizeof name, "%s", command->name);
    snprintf(typed, sizeof typed, "%s", word);
    argv[argc] = NULL;
    if (hf_cli_parse(command, argc, argv, take, &taken, &first, &stop, &diag) != HF_OK)
        fail_msg("%s %s: %s", command->name, word, diag.message);
    if (taken.count != 1 || taken.code != option->code)
        fail_msg("%s %s is taken for option %d", command->name, word, taken.code);
    assert_string_equal(taken.text, option->argument ? "7" : "");
}

static void every_option_is_taken_for_itself(void **state)
{
    (void)state;
    int count = 0;
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        for (const struct hf_cli_option *const *table = command->options; *table; table++)
            for (const struct hf_cli_option *option = *table; option->name; option++, count++) {
                char word[64];
                snprintf(word, sizeof word, "--%s", option->name);
                parse_as(command, option, word);
                snprintf(word, sizeof word, "-%c", option->letter);
                if (option->letter)
                    parse_as(command, option, word);
            }
    assert_true(count > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_option_is_taken_for_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
