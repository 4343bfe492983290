/* SPDX-License-Identifier: MIT */
/* Messages and places. Invariant: stderr lines begin with the program's name; stdout is the
 * player's. */
#include <holdfast/cli.h>

#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <holdfast/speech.h>
#include <holdfast/text.h>
#include <holdfast/midi_in.h>
#include <holdfast/version.h>

#include "screen.h"

static const char *called = HF_PROGRAM;

const char *hf_cli_called(void)
{
    return called;
}

void hf_cli_set_called(const char *argument_0)
{
    /* A path is kept as it was typed; a bare name was found in the path under our own. */
    if (strchr(argument_0, '/'))
        called = argument_0;
}

int hf_cli_fail(enum hf_status status, const struct hf_diag *diag)
{
    fflush(stdout);
    fprintf(stderr, "%s: %s\n", HF_PROGRAM,
            diag->message[0] ? diag->message : hf_status_text(status));
    if (diag->advice[0])
        fprintf(stderr, "%s: %s\n", HF_PROGRAM, diag->advice);
    return hf_status_exit(status);
}

void hf_cli_warn(const char *format, ...)
{
    char text[512];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    hf_text_disarm(text);
    fflush(stdout);
    fprintf(stderr, "%s: %s\n", HF_PROGRAM, text);
}

/* Letters that no shell takes for anything else. */
static bool is_bare(const char *word)
{
    for (; *word; word++) {
        unsigned char c = (unsigned char)*word;
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!letter && c < 0x80 && !strchr("_./,:=@%+-", c))
            return false;
    }
    return true;
}

void hf_cli_print_file(const char *name)
{
    char shown[4096];
    snprintf(shown, sizeof shown, "%s%s", name[0] == '-' ? "./" : "", name);
    hf_text_disarm(shown);
    if (shown[0] && is_bare(shown)) {
        printf("%s", shown);
        return;
    }
    putchar('\'');
    for (const char *c = shown; *c; c++) {
        if (*c == '\'')
            printf("'\\''");
        else
            putchar(*c);
    }
    putchar('\'');
}

bool hf_cli_keep_standard(void)
{
    /* Each takes the lowest number that is free, so in this order its own; and the wrong way round,
     * so that using it is an error as it was. */
    static const int ways[] = {O_WRONLY, O_RDONLY, O_RDONLY};
    for (int i = 0; i < 3; i++)
        if (fcntl(i, F_GETFD) < 0 && open("/dev/null", ways[i]) < 0)
            return false;
    return true;
}

double hf_cli_seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

int hf_cli_finish(void)
{
    if (fflush(stdout) == 0 && !ferror(stdout))
        return 0;
    struct hf_diag diag;
    return hf_cli_fail(hf_fail(&diag, HF_E_IO, "the output could not be written"), &diag);
}

enum hf_status hf_cli_join(int argc, char **argv, int first, char *out, size_t size,
                           struct hf_diag *diag)
{
    size_t used = 0;
    out[0] = 0;
    for (int i = first; i < argc; i++) {
        size_t length = strlen(argv[i]);
        if (used + length + 2 > size)
            return hf_fail(diag, HF_E_USAGE, "the list is longer than %zu bytes", size - 2);
        if (i > first)
            out[used++] = ' ';
        memcpy(out + used, argv[i], length + 1);
        used += length;
    }
    return HF_OK;
}

/* ---- places ---------------------------------------------------------------------------------- */

/* After the XDG Base Directory Specification: a value that is unset, empty or relative is as good
 * as none. */
static bool base_path(const char *variable, const char *fallback, const char *below, char *out,
                      size_t size)
{
    const char *base = getenv(variable);
    const char *home = getenv("HOME");
    const char *slash = below[0] ? "/" : "";
    int length;
    if (base && base[0] == '/')
        length = snprintf(out, size, "%s/holdfast%s%s", base, slash, below);
    else if (home && home[0] == '/')
        length = snprintf(out, size, "%s/%s/holdfast%s%s", home, fallback, slash, below);
    else
        return false;
    return length > 0 && (size_t)length < size;
}

bool hf_cli_config_path(const char *below, char *out, size_t size)
{
    return base_path("XDG_CONFIG_HOME", ".config", below, out, size);
}

bool hf_cli_state_path(const char *below, char *out, size_t size)
{
    return base_path("XDG_STATE_HOME", ".local/state", below, out, size);
}

void hf_cli_print_version(void)
{
    printf("%s %s\n", HF_PROGRAM, HF_VERSION);
    printf("screen: %s\n", screen_built() ? "ncursesw" : "not in this build");
    printf("MIDI:   %s\n", hf_midi_portmidi() ? "PortMidi" : "not in this build");
    printf("speech: %s\n", hf_speech_is_built() ? hf_speech_voices() : "not in this build");
}
