/* SPDX-License-Identifier: MIT */
/* Dispatches; every command is a file of its own. */
#include <holdfast/cli.h>

#include <signal.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/jsonmemory.h>
#include <holdfast/version.h>

#include "manual.h"

static void print_short(void)
{
    const char *called = hf_cli_called();
    printf("%s keeps an augmented triad sounding, prompts the 016 that completes it to\n"
           "6-Z17, waits, lets you hear it, and records the session. Three to try first:\n\n"
           "  %s play --rounds 1           a guided round of six cues, 25 s each\n"
           "  %s complete \"C E G#\"         the six completions of a triad\n"
           "  %s render -o round.wav       the same session as a sound file\n\n"
           "%s --help lists all commands.\n",
           HF_PROGRAM, called, called, called, called);
}

static void print_help(void)
{
    printf("usage: %s COMMAND [options]\n\n", HF_PROGRAM);
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        printf("  %-10s %s\n", command->name, command->summary);
    printf("\n%s COMMAND --help tells the rest.\n\n", HF_PROGRAM);
    printf("Start with the volume low: the program cannot know how loud it is at your ear.\n"
           "Take breaks, stop at pain; advice of a teacher or clinician and local rules come\n"
           "first.\n");
}

static int unknown(const char *word)
{
    struct hf_diag diag;
    hf_fail(&diag, HF_E_USAGE, "there is no command \"%.60s\"", word);
    hf_advise(&diag, "%s --help lists the commands", hf_cli_called());
    return hf_cli_fail(HF_E_USAGE, &diag);
}

int main(int argc, char **argv)
{
    /* A reader that goes away, or a file that grows past a limit, is an error to be told, not a
     * reason to die. */
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN);
    hf_jsonmemory_watch();
    if (!hf_cli_keep_standard())
        return hf_status_exit(HF_E_IO);
    if (argc > 0)
        hf_cli_set_called(argv[0]);
    if (argc < 2) {
        print_short();
        return hf_cli_finish();
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
        print_help();
        return hf_cli_finish();
    }
    if (strcmp(argv[1], "--version") == 0) {
        hf_cli_print_version();
        return hf_cli_finish();
    }
    if (manual_print(argv[1]))
        return hf_cli_finish();
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        if (strcmp(command->name, argv[1]) == 0)
            return command->run(command, argc - 1, argv + 1);
    return unknown(argv[1]);
}
