/* SPDX-License-Identifier: MIT */
/* A session on the screen. Invariants: a change of what there is to do is drawn at once, the bar
 * thirty times a second at most and not just before a change, so that there are never more than
 * sixty drawings a second and a change waits for none of them. */
#include "show_parts.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "screen.h"

static const double BAR_S = 1 / 30.0, LEAST_S = 1 / 60.0, REMARK_S = 4, READ_PER_S = 12;

static struct grid grid; /* large, and one screen a process */

/* Would a terminal of this kind take the commands that write a line over? */
static bool moves_cursor(void)
{
    const char *term = getenv("TERM");
    return term && term[0] && strcmp(term, "dumb") != 0;
}

bool show_screen_begin(struct show *show)
{
    const char *why = NULL;
    char line[SHOW_TEXT];
    if (isatty(STDOUT_FILENO) != 1)
        return false;
    if (screen_begin(show->theme, &why))
        return true;
    show->terminal = moves_cursor(); /* else no line can be written over */
    snprintf(line, sizeof line, "        no screen (%s): plain lines", why);
    show_line(show, line);
    return false;
}

void show_remark(struct show *show, const char *line)
{
    snprintf(show->remark, sizeof show->remark, "%s", line + strspn(line, " "));
    for (char *c = show->remark; *c; c++)
        if (*c == '\n')
            *c = ' ';
    show->remark_s = hf_cli_seconds();
    show->drawn_s = 0;
}

/* The scene without what changes all the time; a countdown stays, by whole seconds. */
void show_lasting(const struct scene *scene, bool countdown, struct scene *out)
{
    memcpy(out, scene, sizeof *out);
    out->now = scene->now / scene->rate_hz / 60;
    out->left = out->change = out->level_db = 0;
    if (!countdown)
        out->now = out->in = 0;
    else if (scene->in != HF_NEVER)
        out->in = (scene->in + scene->rate_hz - 1) / scene->rate_hz;
}

static bool is_due(struct show *show, const struct scene *scene, double now_s)
{
    struct scene lasting;
    show_lasting(scene, true, &lasting);
    /* Padding that differs costs a drawing:
     * NOLINTNEXTLINE(bugprone-suspicious-memory-comparison,cert-exp42-c,cert-flp37-c) */
    bool changed = memcmp(&lasting, &show->drawn, sizeof lasting) != 0;
    double since_s = now_s - show->drawn_s;
    bool change_comes =
        scene->in != HF_NEVER && (double)scene->in / scene->rate_hz < LEAST_S + 0.01;
    if (!(changed ? since_s >= LEAST_S : since_s >= BAR_S && !change_comes))
        return false;
    show->drawn = lasting;
    show->drawn_s = now_s;
    return true;
}

void show_screen_update(struct show *show, int64_t now)
{
    struct scene scene;
    int rows, cols;
    bool ascii;
    double now_s = hf_cli_seconds();
    if (show->remark[0] &&
        now_s - show->remark_s > REMARK_S + (double)strlen(show->remark) / READ_PER_S)
        show->remark[0] = 0;
    show->of.remark = show->remark[0] ? show->remark : NULL;
    scene_at(&show->of, now, &scene);
    if (!screen_ready(&rows, &cols, &ascii) || !is_due(show, &scene, now_s))
        return;
    grid_draw(&scene, rows, cols, ascii, &grid);
    screen_draw(&grid);
}
