/* SPDX-License-Identifier: MIT */
/* Runs a command of the program in the test's own process, as a user runs it, with the standard
 * streams led into files. For one test program each; include it after cmocka. */
#ifndef TESTS_COMMAND_H
#define TESTS_COMMAND_H

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/cli.h>

enum { ARGUMENTS_MOST = 16, OUTPUT_MOST = 8 << 20 };

static char output[OUTPUT_MOST], errors[65536];

static inline void read_back(FILE *file, char *text, size_t size)
{
    rewind(file);
    text[fread(text, 1, size - 1, file)] = '\0';
    fclose(file);
}

/* Runs a command, its words parted by '|', with `input` as its standard input; returns its status
 * and fills `output` and `errors`. */
static inline int run_with(const char *command, const char *input, size_t input_length)
{
    char line[1024], *argv[ARGUMENTS_MOST + 1] = {NULL};
    int argc = 0, status = -1;
    snprintf(line, sizeof line, "%s", command);
    for (char *at = line; at && argc < ARGUMENTS_MOST;) {
        argv[argc++] = at;
        at = strchr(at, '|');
        if (at)
            *at++ = '\0';
    }
    FILE *in = tmpfile(), *out = tmpfile(), *err = tmpfile();
    assert_true(in && out && err);
    assert_int_equal(fwrite(input, 1, input_length, in), input_length);
    rewind(in);
    fflush(NULL);
    int kept[3] = {dup(0), dup(1), dup(2)};
    dup2(fileno(in), 0);
    dup2(fileno(out), 1);
    dup2(fileno(err), 2);
    for (const struct hf_cli_command *each = hf_cli_commands; each->name; each++)
        if (!strcmp(each->name, argv[0]))
            status = each->run(each, argc, argv);
    fflush(NULL);
    clearerr(stdin);
    for (int i = 0; i < 3; i++) {
        dup2(kept[i], i);
        close(kept[i]);
    }
    fclose(in);
    read_back(out, output, sizeof output);
    read_back(err, errors, sizeof errors);
    return status;
}

static inline int run(const char *command)
{
    return run_with(command, "", 0);
}

/* The last output with every wrapped line joined to the one before it. */
static inline const char *unwrapped(void)
{
    static char text[OUTPUT_MOST];
    size_t length = 0;
    for (const char *at = output; *at; at++) {
        if (*at == '\n') {
            while (at[1] == ' ')
                at++;
            text[length++] = ' ';
        } else {
            text[length++] = *at;
        }
    }
    text[length] = '\0';
    return text;
}

#endif
