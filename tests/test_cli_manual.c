/* SPDX-License-Identifier: MIT */
/* The manual page and the completions of bash and zsh have every command and every option of the
 * tables that the program reads its command line by (derived: from those tables). */
#define _XOPEN_SOURCE 700

#include "run.h"

#include <holdfast/cli.h>

static char printed[1 << 18];

/* Prints into a file, since the page is longer than what run() keeps. */
static void print(const char *what)
{
    size_t size = 0;
    scratch_write("page", "", 0);
    run_with.out = scratch("page");
    run(what, NULL);
    assert_int_equal(ran.status, 0);
    assert_string_equal(ran.err, "");
    char *text = (char *)scratch_read("page", &size);
    assert_true(size > 1000 && size < sizeof printed);
    memcpy(printed, text, size);
    printed[size] = 0;
    free(text);
}

static void assert_has_all(const char *form)
{
    char wanted[64];
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++) {
        assert_non_null(strstr(printed, command->name));
        for (const struct hf_cli_option *const *table = command->options; *table; table++)
            for (const struct hf_cli_option *option = *table; option->name; option++) {
                snprintf(wanted, sizeof wanted, form, option->name);
                if (!strstr(printed, wanted))
                    fail_msg("%s: no %s", command->name, wanted);
            }
    }
}

static void the_manual_has_every_command_and_option(void **state)
{
    (void)state;
    print("--print-manual");
    assert_int_equal(strncmp(printed, ".", 1), 0);
    assert_has_all("Fl \\-%s");
    assert_non_null(strstr(printed, ".Sh EXIT STATUS"));
}

static void bash_and_zsh_complete_every_option(void **state)
{
    (void)state;
    print("--print-bash");
    assert_has_all("--%s");
    print("--print-zsh");
    assert_has_all("--%s");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_manual_has_every_command_and_option),
        cmocka_unit_test(bash_and_zsh_complete_every_option),
    };
    return cmocka_run_group_tests(tests, scratch_make, scratch_remove);
}
