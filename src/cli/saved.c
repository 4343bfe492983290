/* SPDX-License-Identifier: MIT */
/* Invariants: what is written reads back as it was; a file is checked as a whole before inih sees
 * any of it; no name leads out of the folder. */
#include "saved.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/store.h>
#include <holdfast/text.h>
#include <holdfast/wholefile.h>

#include "session.h"

static const char folder[] = "sessions";
static const struct hf_cli_option practice = {"practice", 0, "PRACTICE", "", HF_OPT_PRACTICE + 1};

/* Of one run, not of a session that is run again. */
static bool is_kept(int code)
{
    return code != CODE_JOURNAL && code != CODE_DRY_RUN && code != CODE_SAVE && code != CODE_WHY &&
           code != CODE_JSON;
}

/* ---- options --------------------------------------------------------------------------------- */

/* The tables of play, ended by NULL. */
static const struct hf_cli_option *const *tables(void)
{
    const struct hf_cli_command *command = hf_cli_commands;
    while (strcmp(command->name, "play") != 0)
        command++;
    return command->options;
}

/* By its name, or by its code where there is none. */
static const struct hf_cli_option *find(const char *name, int code)
{
    if (name ? strcmp(name, practice.name) == 0 : code == practice.code)
        return &practice;
    for (const struct hf_cli_option *const *table = tables(); *table; table++)
        for (const struct hf_cli_option *o = *table; o->name; o++)
            if (name ? strcmp(name, o->name) == 0 : code == o->code)
                return o;
    return NULL;
}

static struct saved_option *place_of(struct saved *saved, int code)
{
    for (int i = 0; i < saved->count; i++)
        if (saved->options[i].option->code == code)
            return &saved->options[i];
    return saved->count < SAVED_MOST ? &saved->options[saved->count] : NULL;
}

const char *saved_text(const struct saved *saved, int code)
{
    for (int i = 0; i < saved->count; i++)
        if (saved->options[i].option->code == code)
            return saved->options[i].text;
    return NULL;
}

/* inih takes a semicolon for the beginning of a comment, and spaces at the ends for nothing. */
static bool fits_line(const struct hf_cli_option *option, const char *text)
{
    size_t length = strlen(text);
    return strlen(option->name) + 3 + length <= HF_INIFILE_LINE_MOST && length > 0 &&
           !strchr(text, ';') && text[0] != ' ' && text[length - 1] != ' ' &&
           hf_text_is_utf8(text, length) && hf_text_is_plain(text, length, "");
}

enum hf_status saved_put(struct saved *saved, int code, const char *text, struct hf_diag *diag)
{
    const struct hf_cli_option *option = find(NULL, code);
    struct saved_option *place = place_of(saved, code);
    if (code == CODE_SAVE)
        return HF_OK;
    if (!option || !place || !is_kept(code))
        return hf_fail(diag, HF_E_USAGE, "--%s is of one run and can't be saved: leave it out",
                       option ? option->name : "save");
    if (!option->argument)
        text = "yes";
    if (!fits_line(option, text)) {
        hf_fail(diag, HF_E_USAGE, "%s \"%.60s\" can't be kept in a line of a file", option->name,
                text);
        hf_advise(diag, "no semicolon, no space at its ends, %d bytes at most",
                  HF_INIFILE_LINE_MOST - 3 - (int)strlen(option->name));
        return HF_E_USAGE;
    }
    if (place == &saved->options[saved->count])
        saved->count++;
    place->option = option;
    place->line = 0;
    snprintf(place->text, sizeof place->text, "%s", text);
    return HF_OK;
}

enum hf_status saved_blame(const struct saved *saved, int index, struct hf_diag *diag)
{
    char message[sizeof diag->message];
    const struct saved_option *option = &saved->options[index];
    if (!diag)
        return HF_E_DATA;
    snprintf(message, sizeof message, "%s", diag->message);
    snprintf(diag->message, sizeof diag->message, "%.150s:%ld: %.160s", saved->path, option->line,
             message);
    diag->line = option->line;
    return HF_E_DATA;
}

/* ---- names ----------------------------------------------------------------------------------- */

static bool path_of(const char *name, char path[SAVED_PATH])
{
    char below[SAVED_NAME_MOST + 32];
    snprintf(below, sizeof below, "%s/%s.ini", folder, name);
    return hf_cli_config_path(below, path, SAVED_PATH);
}

/* What is wrong with a name, NULL for nothing. */
static const char *fault_of(const char *name)
{
    size_t length = strlen(name);
    if (length == 0)
        return "it is empty";
    if (length > SAVED_NAME_MOST)
        return "it is too long";
    if (strchr(name, '/'))
        return "it has a slash";
    if (name[0] == '.' || name[0] == '-')
        return "it begins with a dot or a dash";
    if (name[0] == ' ' || name[length - 1] == ' ')
        return "it has a space at its end";
    if (!hf_text_is_utf8(name, length) || !hf_text_is_plain(name, length, ""))
        return "it has a byte that no name should have";
    return NULL;
}

enum hf_status saved_check_name(const char *name, struct hf_diag *diag)
{
    char shown[80];
    const char *fault = fault_of(name);
    if (hf_request_is_practice(name)) {
        hf_fail(diag, HF_E_USAGE, "%s is a practice: a session needs a name of its own", name);
        hf_advise(diag, "for example --save my-%s", name);
        return HF_E_USAGE;
    }
    if (!fault)
        return HF_OK;
    snprintf(shown, sizeof shown, "%.60s", name);
    hf_text_disarm(shown);
    hf_fail(diag, HF_E_USAGE, "a session can't be saved as \"%s\": %s", shown, fault);
    hf_advise(diag, "choose a short word, as in --save evening");
    return HF_E_USAGE;
}

bool saved_exists(const char *name)
{
    char path[SAVED_PATH], *text = NULL;
    size_t length = 0;
    if (fault_of(name) || hf_request_is_practice(name) || !path_of(name, path))
        return false;
    enum hf_status status = hf_store_read(path, &text, &length, NULL);
    free(text);
    if (status != HF_E_INPUT || access(path, F_OK) == 0)
        return true; /* one that can't be read is told of when it is read */
    return errno != ENOENT && errno != ENOTDIR;
}

/* ---- reading --------------------------------------------------------------------------------- */

struct reading {
    struct hf_inifile file;
    bool in_section;
    struct saved *saved;
};

static const char section[] = "session";

static bool is_section(const char *line)
{
    size_t length = sizeof section - 1;
    return line[0] == '[' && strncmp(line + 1, section, length) == 0 && line[length + 1] == ']';
}

static void note_section(void *self, const char *line)
{
    struct reading *r = self;
    if (!is_section(line))
        hf_inifile_fail(&r->file.fault, r->file.line, "unknown section (allowed: [session])");
    else if (r->in_section)
        hf_inifile_fail(&r->file.fault, r->file.line, "a second [session]");
    r->in_section = true;
}

static bool fail_key(struct reading *r, const char *name, const char *value, const char *what)
{
    return hf_inifile_fail_key(&r->file.fault, r->file.line, section, name, value, what);
}

static bool take_key(void *self, const char *in, const char *name, const char *value)
{
    struct reading *r = self;
    const struct hf_cli_option *option = find(name, 0);
    (void)in;
    if (!r->in_section)
        return hf_inifile_fail(&r->file.fault, r->file.line, "a key stands before [session]");
    if (!option || !is_kept(option->code))
        return fail_key(
            r, name, value,
            "no such key (allowed: practice and the options of play, without their dashes)");
    struct saved_option *place = place_of(r->saved, option->code);
    if (!place || place->option)
        return fail_key(r, name, value, "repeated key");
    if (!option->argument && strcmp(value, "yes") != 0)
        return fail_key(r, name, value, "takes no value (allowed: yes, or no such line)");
    place->option = option;
    place->line = r->file.line;
    snprintf(place->text, sizeof place->text, "%s", value);
    r->saved->count++;
    return true;
}

enum hf_status saved_read(const char *name, struct saved *out, struct hf_diag *diag)
{
    char *text = NULL;
    memset(out, 0, sizeof *out);
    struct reading r = {.file = {.fault = {out->path, diag, false},
                                 .self = &r,
                                 .section = note_section,
                                 .key = take_key},
                        .saved = out};
    if (!path_of(name, out->path))
        return hf_fail(diag, HF_E_INPUT, "neither HOME nor XDG_CONFIG_HOME is set");
    enum hf_status status = hf_store_read(out->path, &text, &r.file.length, diag);
    if (status != HF_OK)
        return status;
    r.file.text = text;
    status = hf_inifile_read(&r.file, "a session", "neither [session] nor key = value");
    free(text);
    return status;
}

/* ---- writing --------------------------------------------------------------------------------- */

static enum hf_status write_lines(struct hf_wholefile *file, const struct saved *saved,
                                  struct hf_diag *diag)
{
    char line[2 * HF_INIFILE_LINE_MOST];
    enum hf_status status = hf_wholefile_write(file, "[session]\n", 10, diag);
    for (int i = 0; status == HF_OK && i < saved->count; i++) {
        int length = snprintf(line, sizeof line, "%s = %s\n", saved->options[i].option->name,
                              saved->options[i].text);
        status = hf_wholefile_write(file, line, (size_t)length, diag);
    }
    return status;
}

enum hf_status saved_write(const struct saved *saved, const char *name, bool *replaced,
                           struct hf_diag *diag)
{
    char path[SAVED_PATH], directory[SAVED_PATH];
    struct hf_wholefile *file = NULL;
    if (!path_of(name, path) || !hf_cli_config_path(folder, directory, sizeof directory))
        return hf_fail(diag, HF_E_CREATE, "neither HOME nor XDG_CONFIG_HOME is set");
    bool there = access(path, F_OK) == 0;
    enum hf_status status = hf_store_make_directories(directory, diag);
    if (status == HF_OK)
        status = hf_wholefile_open(&file, path, diag);
    if (status != HF_OK)
        return status;
    status = write_lines(file, saved, diag);
    if (status == HF_OK)
        status = hf_wholefile_commit(file, diag);
    else
        hf_wholefile_discard(file);
    if (status == HF_OK)
        *replaced = there;
    return status;
}
