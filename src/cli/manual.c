/* SPDX-License-Identifier: MIT */
/* The manual page. Invariant: what stands in a table is told from the table; only what has no table
 * is written here. */
#include "manual.h"

#include <stdio.h>
#include <string.h>

#include <holdfast/cli.h>
#include <holdfast/version.h>

#include "completions.h"

enum { LINE_MOST = 78 }; /* two may be added at the beginning */

/* Text as roff takes it: no line begins with a control character, no backslash means anything. */
static void put_text(const char *text, bool line_begins)
{
    for (const char *c = text; *c; c++) {
        if (line_begins && (*c == '.' || *c == '\''))
            fputs("\\&", stdout);
        line_begins = *c == '\n';
        if (*c == '\\')
            fputs("\\e", stdout);
        else
            putchar(*c);
    }
}

/* A help text in lines of 80 at most, each sentence on a new one; a line break stays where a space
 * follows it, as in the help.
 */
static void put_help(const char *text)
{
    int at = 0;
    for (const char *c = text; *c;) {
        int length = (int)strcspn(c, " \n");
        if (at > 0 && length > 0) {
            bool breaks = at + 1 + length > LINE_MOST || (c > text + 1 && strchr(".?!", c[-2]));
            putchar(breaks ? '\n' : ' ');
            at = breaks ? 0 : at + 1;
        }
        char word[LINE_MOST + 1];
        snprintf(word, sizeof word, "%.*s", length, c);
        put_text(word, at == 0);
        at += length;
        c += length;
        if (*c == '\n' && c[1] == ' ') {
            printf("\n.br\n");
            at = 0;
        }
        c += *c != 0;
    }
    putchar('\n');
}

/* An operand or option of a usage line: "-o" is a flag, words in capitals are arguments. */
static void put_usage(const char *usage)
{
    for (const char *c = usage; *c;) {
        if (*c == '[') {
            size_t length = strcspn(c, "]");
            printf(".Op Ar %.*s\n", (int)length - 1, c + 1);
            c += length + (c[length] == ']');
        } else {
            size_t length = strcspn(c, " ");
            if (*c == '-' && length > 1)
                printf(".Fl %.*s\n", (int)length - 1, c + 1);
            else
                printf(".Ar %.*s\n", (int)length, c);
            c += length;
        }
        c += strspn(c, " ");
    }
}

static void put_option(const struct hf_cli_option *option)
{
    printf(".It ");
    if (option->letter)
        printf("Fl %c , ", option->letter);
    printf("Fl \\-%s", option->name);
    if (option->argument)
        printf(" Ar %s", option->argument);
    putchar('\n');
    put_help(option->help);
}

static void put_command(const struct hf_cli_command *command)
{
    printf(".Ss holdfast %s\n", command->name);
    put_help(command->summary);
    puts(".Bl -tag -width Ds");
    for (const struct hf_cli_option *const *table = command->options; *table; table++)
        for (const struct hf_cli_option *option = *table; option->name; option++)
            put_option(option);
    puts(".El");
    if (!command->notes)
        return;
    puts(".Bd -unfilled");
    put_text(command->notes, true);
    puts("\n.Ed");
}

static void put_synopsis(void)
{
    puts(".Sh SYNOPSIS");
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++) {
        printf(".Nm\n.Cm %s\n", command->name);
        put_usage(command->usage);
    }
    puts(".Nm\n.Fl \\-help | \\-version");
}

static const char opening[] =
    ".\\\" SPDX-License-Identifier: MIT\n"
    ".Dd " HF_VERSION_DATE "\n"
    ".Dt HOLDFAST 1\n"
    ".Os\n"
    ".Sh NAME\n"
    ".Nm holdfast\n"
    ".Nd keep a triad sounding, prompt what completes it, hear, record and replay\n";

static const char description[] =
    ".Sh DESCRIPTION\n"
    ".Nm\n"
    "is a practice partner for those who play, compose or teach post-tonal music.\n"
    "It keeps an augmented triad sounding, prompts one of the six 016 that complete\n"
    "it to 6-Z17, the all-trichord hexachord, waits while the player finds it, sounds\n"
    "it, and records the session, which can be played again to the last sample.\n"
    "Other held sets and other added classes work the same way.\n"
    ".Pp\n"
    "The practices are\n"
    ".Cm improvise ,\n"
    "the default;\n"
    ".Cm roam ,\n"
    ".Cm hunt ,\n"
    ".Cm ear ,\n"
    ".Cm sight\n"
    "and\n"
    ".Cm warmup .\n"
    ".Pp\n"
    "Sound can hurt: start with the volume low, since the program cannot know how\n"
    "loud it is at the ear, take breaks, and stop at pain; what a teacher, a\n"
    "clinician and local rules say comes first.\n"
    ".Sh COMMANDS\n"
    "Options may stand anywhere among the operands;\n"
    ".Fl \\-\n"
    "ends them.\n"
    "Every command takes\n"
    ".Fl \\-help\n"
    "and\n"
    ".Fl \\-version .\n";

static const char closing[] =
    ".Sh ENVIRONMENT\n"
    ".Bl -tag -width XDG_CONFIG_HOME\n"
    ".It Ev XDG_CONFIG_HOME\n"
    "where sessions by name, patches and instruments of one's own are, in\n"
    ".Pa holdfast ;\n"
    "by default\n"
    ".Pa ~/.config .\n"
    ".It Ev XDG_STATE_HOME\n"
    "where journals are kept, in\n"
    ".Pa holdfast ;\n"
    "by default\n"
    ".Pa ~/.local/state .\n"
    ".It Ev NO_COLOR\n"
    "when set and not empty, the screen has no colours.\n"
    ".El\n"
    ".Pp\n"
    "A relative path in one of the first two counts as none.\n"
    ".Sh FILES\n"
    ".Bl -tag -width Ds\n"
    ".It Pa ~/.local/state/holdfast/*.jsonl\n"
    "journals, one for each session that was played.\n"
    ".It Pa ~/.config/holdfast/sessions/*.ini\n"
    "sessions by name, kept by\n"
    ".Cm play Fl \\-save .\n"
    ".It Pa ~/.config/holdfast/patches/*.ini\n"
    "timbres of one's own.\n"
    ".It Pa ~/.config/holdfast/instruments/*.ini\n"
    "instruments of one's own.\n"
    ".El\n"
    ".Sh EXIT STATUS\n"
    ".Bl -tag -width 64 -compact\n"
    ".It 0\n"
    "done\n"
    ".It 64\n"
    "wrong use\n"
    ".It 65\n"
    "bad content in a file\n"
    ".It 66\n"
    "cannot read, or no such patch\n"
    ".It 69\n"
    "no sound output, or not at that rate\n"
    ".It 70\n"
    "a fault of the program\n"
    ".It 73\n"
    "cannot create a file\n"
    ".It 74\n"
    "a disk that fails or is full\n"
    ".It 75\n"
    "the sound output went away\n"
    ".El\n"
    ".Sh EXAMPLES\n"
    "A guided round of six cues:\n"
    ".Pp\n"
    ".Dl holdfast play --rounds 1\n"
    ".Pp\n"
    "The six completions of a triad, and what a chord is:\n"
    ".Bd -literal -offset indent\n"
    "holdfast complete \"C E G#\"\n"
    "holdfast inspect 10-10-10-9-9-9\n"
    ".Ed\n"
    ".Pp\n"
    "A session as a sound file with its journal, and the same again:\n"
    ".Bd -literal -offset indent\n"
    "holdfast render --seed 7 -o round.wav --journal round.jsonl\n"
    "holdfast replay round.jsonl -o again.wav\n"
    ".Ed\n";

static void print_manual(void)
{
    fputs(opening, stdout);
    put_synopsis();
    fputs(description, stdout);
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        put_command(command);
    fputs(closing, stdout);
}

bool manual_print(const char *word)
{
    if (strcmp(word, "--print-manual") == 0)
        print_manual();
    else if (strcmp(word, "--print-bash") == 0)
        completions_bash();
    else if (strcmp(word, "--print-zsh") == 0)
        completions_zsh();
    else
        return false;
    return true;
}
