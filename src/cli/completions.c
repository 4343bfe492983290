/* SPDX-License-Identifier: MIT */
/* Invariant: nothing from outside goes into the scripts; the tables have no quotes that matter. */
#include "completions.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/cli.h>

static const char practices[] = "improvise roam hunt ear sight warmup";

/* Commands whose first operand is a practice; for the others it is a file or notes. */
static bool takes_practice(const struct hf_cli_command *command)
{
    return strstr(command->usage, "PRACTICE") != NULL;
}

static bool takes_file(const struct hf_cli_command *command)
{
    return strstr(command->usage, "JOURNAL") != NULL;
}

static bool is_file(const char *argument)
{
    return argument && strcmp(argument, "FILE") == 0;
}

static bool is_directory(const char *argument)
{
    return argument && strcmp(argument, "DIR") == 0;
}

/* Calls `each` for every option of a command, the two that all have among them. */
static void for_options(const struct hf_cli_command *command,
                        void (*each)(const struct hf_cli_option *option))
{
    for (const struct hf_cli_option *const *table = command->options; *table; table++)
        for (const struct hf_cli_option *option = *table; option->name; option++)
            each(option);
    for (const struct hf_cli_option *option = hf_cli_common_options; option->name; option++)
        each(option);
}

/* ---- bash ------------------------------------------------------------------------------------ */

static void bash_name(const struct hf_cli_option *option)
{
    printf(" --%s", option->name);
}

/* One branch of the case over what an option takes: "--a|--b) ..." */
static void bash_values(const struct hf_cli_command *command, bool (*takes)(const char *),
                        const char *offer)
{
    bool any = false;
    for (const struct hf_cli_option *const *table = command->options; *table; table++)
        for (const struct hf_cli_option *option = *table; option->name; option++) {
            if (!option->argument || (takes && !takes(option->argument)) ||
                (!takes && (is_file(option->argument) || is_directory(option->argument))))
                continue;
            printf("%s--%s", any ? "|" : "        ", option->name);
            if (option->letter)
                printf("|-%c", option->letter);
            any = true;
        }
    if (any)
        printf(") %s return ;;\n", offer);
}

static void bash_command(const struct hf_cli_command *command)
{
    printf("    %s)\n        case $before in\n", command->name);
    bash_values(command, is_file, "COMPREPLY=($(compgen -f -- \"$word\"));");
    bash_values(command, is_directory, "COMPREPLY=($(compgen -d -- \"$word\"));");
    bash_values(command, NULL, "");
    printf("        esac\n        options='");
    for_options(command, bash_name);
    printf("'\n");
    if (takes_practice(command))
        printf("        operands='%s'\n", practices);
    if (takes_file(command))
        printf("        files=yes\n");
    printf("        ;;\n");
}

void completions_bash(void)
{
    printf("# SPDX-License-Identifier: MIT\n"
           "# What bash offers after holdfast. Made from the tables of the program.\n"
           "_holdfast()\n{\n"
           "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}\n"
           "    local options='' operands='' files=''\n"
           "    COMPREPLY=()\n"
           "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
           "        COMPREPLY=($(compgen -W '");
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        printf("%s ", command->name);
    printf("--help --version' -- \"$word\"))\n        return\n    fi\n"
           "    case ${COMP_WORDS[1]} in\n");
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        bash_command(command);
    printf("    esac\n"
           "    case $word in\n"
           "    -*) COMPREPLY=($(compgen -W \"$options\" -- \"$word\")) ;;\n"
           "    *)\n"
           "        COMPREPLY=($(compgen -W \"$operands\" -- \"$word\"))\n"
           "        [ -z \"$files\" ] || COMPREPLY+=($(compgen -f -- \"$word\"))\n"
           "        ;;\n"
           "    esac\n}\n"
           "complete -o filenames -F _holdfast holdfast\n");
}

/* ---- zsh ------------------------------------------------------------------------------------- */

/* The beginning of a help text, as one word within single quotes and brackets. */
static void zsh_help(const char *help)
{
    int most = 70;
    for (const char *c = help; *c && most > 0; c++, most--) {
        if (*c == '\n' || *c == '\'')
            putchar(' ');
        else if (*c == '[' || *c == ']' || *c == ':' || *c == '\\')
            printf("\\%c", *c);
        else
            putchar(*c);
    }
}

static void zsh_option(const struct hf_cli_option *option)
{
    printf("            '--%s[", option->name);
    zsh_help(option->help);
    putchar(']');
    if (option->argument)
        printf(":%s:%s", option->argument,
               is_file(option->argument)        ? "_files"
               : is_directory(option->argument) ? "_files -/"
                                                : "");
    printf("' \\\n");
}

static void zsh_command(const struct hf_cli_command *command)
{
    printf("    %s)\n        _arguments -S \\\n", command->name);
    for_options(command, zsh_option);
    if (takes_practice(command))
        printf("            '*:practice:(%s)'\n", practices);
    else
        printf("            '*:operand:%s'\n", takes_file(command) ? "_files" : "");
    printf("        ;;\n");
}

void completions_zsh(void)
{
    printf("#compdef holdfast\n"
           "# SPDX-License-Identifier: MIT\n"
           "# What zsh offers after holdfast. Made from the tables of the program.\n"
           "_holdfast() {\n"
           "    if (( CURRENT == 2 )); then\n"
           "        local -a commands=(\n");
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++) {
        printf("            '%s:", command->name);
        zsh_help(command->summary);
        printf("'\n");
    }
    printf("        )\n"
           "        _describe command commands\n"
           "        return\n"
           "    fi\n"
           "    shift words\n"
           "    (( CURRENT-- ))\n"
           "    case $words[1] in\n");
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        zsh_command(command);
    printf("    esac\n}\n_holdfast \"$@\"\n");
}
