/* SPDX-License-Identifier: MIT */
/* Invariant: a colour never says what a sign or a number does not. */
#include "review_draw.h"

#if HF_CAIRO

#include <cairo.h>
#include <stdio.h>
#include <string.h>

enum { LEFT = 42, RIGHT = REVIEW_PAGE_WIDTH - 42, WIDTH = RIGHT - LEFT, TRIADS = 4, SIX = 6 };
enum { TEXT = 96, DAYS_MOST = 92 };

struct ink {
    double r, g, b;
};
static const struct ink black = {0.1, 0.1, 0.1}, grey = {0.45, 0.45, 0.45},
                        pale = {0.85, 0.85, 0.85};
/* told apart by those who see red and green alike: M. Okabe and K. Ito, "Color Universal Design" */
static const struct ink sure = {0, 0.62, 0.45}, fair = {0.9, 0.62, 0}, weak = {0.84, 0.37, 0},
                        bar = {0, 0.45, 0.7};

struct page {
    cairo_t *cr;
    const struct hf_review *review;
    int32_t today;
    enum hf_names names;
};

/* ---- strokes --------------------------------------------------------------------------------- */

static void use(const struct page *p, struct ink ink)
{
    cairo_set_source_rgb(p->cr, ink.r, ink.g, ink.b);
}

/* `place`: 0 begins at x, 0.5 is centred there, 1 ends there. */
static void write_at(const struct page *p, double x, double y, double size, double place,
                     struct ink ink, const char *text)
{
    cairo_text_extents_t extents;
    cairo_set_font_size(p->cr, size);
    cairo_text_extents(p->cr, text, &extents);
    cairo_move_to(p->cr, x - place * extents.x_advance, y);
    use(p, ink);
    cairo_show_text(p->cr, text);
}

static void write_bold(const struct page *p, double x, double y, double size, const char *text)
{
    cairo_select_font_face(p->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    write_at(p, x, y, size, 0, black, text);
    cairo_select_font_face(p->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
}

static void line(const struct page *p, double x0, double y0, double x1, double y1, double width,
                 struct ink ink)
{
    use(p, ink);
    cairo_set_line_width(p->cr, width);
    cairo_move_to(p->cr, x0, y0);
    cairo_line_to(p->cr, x1, y1);
    cairo_stroke(p->cr);
}

static void fill(const struct page *p, double x, double y, double width, double height,
                 struct ink ink)
{
    use(p, ink);
    cairo_rectangle(p->cr, x, y, width, height);
    cairo_fill(p->cr);
}

static const char *spell(const struct page *p, hf_pcset set, char text[TEXT])
{
    struct hf_spelled spelled[HF_PCS];
    int count = hf_spelling_of(set, p->names, spelled);
    text[0] = 0;
    for (int i = 0; i < count; i++) {
        char name[HF_SPELLED_TEXT];
        size_t used = strlen(text);
        snprintf(text + used, TEXT - used, "%s%s", i ? " " : "",
                 hf_spelled_format(spelled[i], p->names, name));
    }
    return text;
}

static const char *date_text(int32_t day, char text[TEXT])
{
    int y, m, d;
    hf_review_date(day, &y, &m, &d);
    snprintf(text, TEXT, "%04d-%02d-%02d", y, m, d);
    return text;
}

/* ---- the map --------------------------------------------------------------------------------- */

static struct ink ink_of(char sign)
{
    return sign == '#' ? sure : sign == '+' ? fair : sign == '-' ? weak : pale;
}

/* The interval of the rate as a line from 0 to 1, its point where the rate is. */
static void draw_interval(const struct page *p, double x, double y, double width,
                          const struct hf_review_cell *cell)
{
    uint32_t marked = cell->got + cell->missed;
    double low, high;
    hf_review_wilson(cell->got, marked, &low, &high);
    line(p, x, y, x + width, y, 0.5, grey);
    line(p, x + low * width, y, x + high * width, y, 3, black);
    use(p, black);
    cairo_arc(p->cr, x + width * cell->got / marked, y, 3, 0, 6.2831853);
    cairo_fill(p->cr);
}

static void draw_cell(const struct page *p, double x, double y, double width, double height,
                      hf_pcset held, hf_pcset pcs)
{
    const struct hf_review_cell *cell = hf_review_find(p->review, held, pcs);
    char sign = hf_review_sign(cell), text[TEXT], names[TEXT];
    uint32_t marked = cell ? cell->got + cell->missed : 0;
    fill(p, x + 2, y + 2, width - 4, height - 4, (struct ink){0.97, 0.97, 0.97});
    fill(p, x + 2, y + 2, 7, height - 4, ink_of(sign));
    write_at(p, x + 14, y + 15, 10, 0, black, spell(p, pcs, names));
    if (!cell || sign == ' ')
        snprintf(text, sizeof text, "never came");
    else if (marked == 0)
        snprintf(text, sizeof text, ".  %u times", cell->cued);
    else
        snprintf(text, sizeof text, "%c  %u of %u", sign, cell->got, marked);
    write_at(p, x + 14, y + 29, 9, 0, sign == ' ' ? grey : black, text);
    if (marked > 0)
        draw_interval(p, x + 14, y + 40, width - 24, cell);
}

static double draw_map(const struct page *p, double y)
{
    static const char *const kinds[] = {"kind 1", "kind 2"};
    const double label = 62, width = (WIDTH - label) / SIX, height = 50;
    char names[TEXT];
    write_bold(p, LEFT, y, 12, "The six over each triad");
    for (int kind = 0; kind < 2; kind++)
        write_at(p, LEFT + label + 3 * kind * width + 4, y + 16, 9, 0, grey, kinds[kind]);
    y += 20;
    for (int triad = 0; triad < TRIADS; triad++) {
        struct hf_completion six[HF_COMPLETIONS_MOST];
        hf_pcset held = hf_review_triad(triad);
        hf_pairing_complete(held, hf_setclass_find(3, 5), six);
        write_at(p, LEFT, y + height / 2 + 4, 11, 0, black, spell(p, held, names));
        for (int i = 0; i < SIX; i++) {
            int column = (six[i].kind - 1) * 3 + six[i].position - 1;
            draw_cell(p, LEFT + label + column * width, y, width, height, held, six[i].pcs);
        }
        y += height;
    }
    write_at(p, LEFT, y + 12, 8, 0, grey,
             "By the last 20 marks:  # sure   + fair   - weak   ? fewer than 5   . none.");
    write_at(p, RIGHT, y + 12, 8, 1, grey, "Line: 95 % interval of the rate, from 0 to 1.");
    return y + 40;
}

/* ---- days ------------------------------------------------------------------------------------ */

/* The days that are shown: up to three months back from the last. */
static size_t first_shown(const struct hf_review *review)
{
    size_t first = 0;
    int32_t last = review->days[review->day_count - 1].day;
    while (last - review->days[first].day >= DAYS_MOST)
        first++;
    return first;
}

static void draw_dates(const struct page *p, double y, int32_t from, int32_t to)
{
    char text[TEXT];
    write_at(p, LEFT + 24, y, 8, 0, grey, date_text(from, text));
    if (to > from)
        write_at(p, RIGHT, y, 8, 1, grey, date_text(to, text));
}

/* Where a day stands across the page, and how wide it is. */
static double across(int32_t day, int32_t from, int32_t to, double *width)
{
    *width = (double)(WIDTH - 24) / (to - from + 1);
    return LEFT + 24 + *width * (day - from);
}

static double draw_minutes(const struct page *p, double y)
{
    const struct hf_review *review = p->review;
    const double height = 110;
    size_t first = first_shown(review);
    int32_t from = review->days[first].day, to = review->days[review->day_count - 1].day;
    int64_t most = 60000;
    char text[TEXT];
    for (size_t i = first; i < review->day_count; i++)
        most = review->days[i].ms > most ? review->days[i].ms : most;
    write_bold(p, LEFT, y, 12, "Minutes by day");
    double base = y + 12 + height;
    snprintf(text, sizeof text, "%.0f", (double)most / 60000);
    write_at(p, LEFT + 20, y + 20, 8, 1, grey, text);
    write_at(p, LEFT + 20, base, 8, 1, grey, "0");
    for (size_t i = first; i < review->day_count; i++) {
        double width, x = across(review->days[i].day, from, to, &width);
        double tall = height * (double)review->days[i].ms / (double)most;
        double thick = width > 24 ? 20 : width * 0.8;
        fill(p, x + (width - thick) / 2, base - tall, thick, tall, bar);
    }
    line(p, LEFT + 24, base, RIGHT, base, 0.5, grey);
    draw_dates(p, base + 12, from, to);
    return base + 40;
}

static double draw_levels(const struct page *p, double y)
{
    const struct hf_review *review = p->review;
    const double height = 60;
    size_t first = first_shown(review);
    int32_t from = review->days[first].day, to = review->days[review->day_count - 1].day;
    int most = 0;
    double last_x = 0, last_y = 0;
    char text[TEXT];
    for (size_t i = first; i < review->day_count; i++)
        most = review->days[i].level_top > most ? review->days[i].level_top : most;
    if (most == 0)
        return y;
    write_bold(p, LEFT, y, 12, "Level by ear, at the end of each day");
    double base = y + 12 + height;
    for (int level = 1; level <= most; level += 1 + most / 12) {
        double up = base - height * level / most;
        snprintf(text, sizeof text, "%d", level);
        write_at(p, LEFT + 20, up + 3, 8, 1, grey, text);
        line(p, LEFT + 24, up, RIGHT, up, 0.5, pale);
    }
    for (size_t i = first; i < review->day_count; i++) {
        const struct hf_review_day *day = &review->days[i];
        double width, x = across(day->day, from, to, &width) + width / 2;
        double up = base - height * day->level_last / most;
        if (!day->level_last)
            continue;
        if (last_x > 0)
            line(p, last_x, last_y, x, up, 1.2, bar);
        use(p, bar);
        cairo_arc(p->cr, x, up, 2.5, 0, 6.2831853);
        cairo_fill(p->cr);
        last_x = x;
        last_y = up;
    }
    line(p, LEFT + 24, base, RIGHT, base, 0.5, grey);
    draw_dates(p, base + 12, from, to);
    return base + 40;
}

/* ---- roam ------------------------------------------------------------------------------------ */

/* The six that were stayed with for longest. */
static void draw_roam(const struct page *p, double y)
{
    const struct hf_review *review = p->review;
    int64_t most = 0, below = INT64_MAX;
    write_bold(p, LEFT, y, 12, "Longest in roam");
    for (int shown = 0; shown < SIX; shown++) {
        const struct hf_review_cell *next = NULL;
        char names[TEXT], held[TEXT], text[2 * TEXT + 24];
        for (size_t i = 0; i < review->cell_count; i++) {
            int64_t ms = review->cells[i].roam_ms;
            if (ms > 0 && ms < below && (!next || ms > next->roam_ms))
                next = &review->cells[i];
        }
        if (!next)
            return;
        below = next->roam_ms;
        most = most ? most : next->roam_ms;
        y += 15;
        snprintf(text, sizeof text, "%s over %s", spell(p, next->pcs, names),
                 spell(p, next->held, held));
        write_at(p, LEFT, y, 9, 0, black, text);
        double width = 260 * (double)next->roam_ms / (double)most;
        fill(p, LEFT + 150, y - 7, width, 8, bar);
        snprintf(text, sizeof text, "%.1f min", (double)next->roam_ms / 60000);
        write_at(p, LEFT + 156 + width, y, 8, 0, grey, text);
    }
}

static bool roamed(const struct hf_review *review)
{
    for (size_t i = 0; i < review->cell_count; i++)
        if (review->cells[i].roam_ms > 0)
            return true;
    return false;
}

/* ---- the page -------------------------------------------------------------------------------- */

static double draw_title(const struct page *p, double y)
{
    const struct hf_review *review = p->review;
    char text[3 * TEXT], first[TEXT], last[TEXT], now[TEXT];
    int64_t ms = 0;
    for (size_t i = 0; i < review->day_count; i++)
        ms += review->days[i].ms;
    write_bold(p, LEFT, y, 18, "What was practised");
    snprintf(text, sizeof text, "%s", date_text(p->today, now));
    write_at(p, RIGHT, y, 10, 1, grey, text);
    if (review->day_count == 0) {
        write_at(p, LEFT, y + 20, 10, 0, black, "No session yet.");
        return y + 48;
    }
    snprintf(text, sizeof text, "%ld minutes in %u session%s on %zu day%s, %s to %s",
             (long)((ms + 30000) / 60000), review->sessions, review->sessions == 1 ? "" : "s",
             review->day_count, review->day_count == 1 ? "" : "s",
             date_text(review->days[0].day, first),
             date_text(review->days[review->day_count - 1].day, last));
    write_at(p, LEFT, y + 20, 10, 0, black, text);
    return y + 48;
}

void review_draw(cairo_t *cr, const struct hf_review *review, int32_t today, enum hf_names names)
{
    struct page page = {cr, review, today, names};
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    fill(&page, 0, 0, REVIEW_PAGE_WIDTH, REVIEW_PAGE_HEIGHT, (struct ink){1, 1, 1});
    double y = draw_map(&page, draw_title(&page, 56));
    if (review->day_count == 0)
        return;
    y = draw_levels(&page, draw_minutes(&page, y));
    if (roamed(review))
        draw_roam(&page, y);
}

#else

void review_draw(struct _cairo *cr, const struct hf_review *review, int32_t today,
                 enum hf_names names)
{
    (void)cr;
    (void)review;
    (void)today;
    (void)names;
}

#endif
