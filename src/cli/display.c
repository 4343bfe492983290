/* SPDX-License-Identifier: MIT */
#include "display.h"

#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/number.h>

const struct hf_cli_option hf_cli_display_options[] = {
    {"plain", 0, NULL,
     "a line an event in place of the screen, for screen readers and\n"
     "logs; so also where stdout is no terminal",
     CODE_PLAIN},
    {"json", 0, NULL,
     "events as JSON, an object a line, for a display of your own;\n"
     "what is shown on the screen, at the same time",
     CODE_JSON},
    {"preview", 0, NULL, "show the next cue too", CODE_PREVIEW},
    {"theme", 0, "NAME",
     "colours on a dark ground (default), on a light one, or mono:\n"
     "the terminal's own. NO_COLOR means mono",
     CODE_THEME},
    {"screen-offset", 0, "MS",
     "show everything so much later, -500 to 2000 (0): wireless\n"
     "outputs hide their delay, often 150 to 300 ms",
     CODE_SCREEN_OFFSET},
    {NULL, 0, NULL, NULL, 0},
};

enum hf_status display_option(struct display *display, int code, const char *text,
                              struct hf_diag *diag)
{
    switch (code) {
    case CODE_PLAIN:
        display->plain = true;
        return HF_OK;
    case CODE_JSON:
        display->json = true;
        return HF_OK;
    case CODE_PREVIEW:
        display->preview = true;
        return HF_OK;
    case CODE_THEME:
        if (theme_parse(text, &display->theme))
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE, "theme \"%.60s\" is none of dark, light, mono", text);
    case CODE_SCREEN_OFFSET:
        if (hf_number_real(text, strlen(text), -500, 2000, &display->offset_ms) == HF_NUMBER_FINE)
            return HF_OK;
        return hf_fail(diag, HF_E_USAGE,
                       "screen-offset \"%.60s\" is not a number from -500 to 2000 ms", text);
    default:
        return hf_fail(diag, HF_E_BUG, "an option that nobody takes");
    }
}

/* One a process, also where several sessions are played in turn. */
static FILE *stream;

enum hf_status display_begin(struct display *display, bool sounds, struct hf_diag *diag)
{
    if (display->json && !sounds)
        return hf_fail(diag, HF_E_USAGE, "--json tells what is heard, which here is nothing");
    if (display->json && display->plain)
        return hf_fail(diag, HF_E_USAGE, "--json and --plain are two ways: choose one");
    if (!display->json)
        return HF_OK;
    if (!stream) {
        fflush(stdout);
        int out = dup(STDOUT_FILENO), nowhere = open("/dev/null", O_WRONLY);
        stream = out >= 0 ? fdopen(out, "w") : NULL;
        if (!stream || nowhere < 0 || dup2(nowhere, STDOUT_FILENO) < 0)
            return hf_fail(diag, HF_E_IO, "the stream of events cannot be written");
        close(nowhere);
    }
    display->stream = stream;
    return HF_OK;
}

enum hf_status display_end(enum hf_status status, struct hf_diag *diag)
{
    if (!stream)
        return status;
    bool failed = ferror(stream) != 0;
    failed |= fclose(stream) != 0;
    stream = NULL;
    return status == HF_OK && failed
               ? hf_fail(diag, HF_E_IO, "the stream of events could not be written")
               : status;
}
