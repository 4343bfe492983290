/* SPDX-License-Identifier: MIT */
/* Figures and dates. Invariant: nothing here depends on the order of anything. */
#include <holdfast/review.h>

#include <math.h>

void hf_review_wilson(uint32_t got, uint32_t marked, double *low, double *high)
{
    static const double z = 1.959963984540054; /* 97.5 % of the normal distribution lie below */
    double n = marked, p = got / n;
    double centre = p + z * z / (2 * n);
    double reach = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n));
    double whole = 1 + z * z / n;
    /* At the ends it is 0 and 1 exactly, which the sums would miss by a last bit. */
    *low = got == 0 ? 0 : (centre - reach) / whole;
    *high = got == marked ? 1 : (centre + reach) / whole;
}

uint32_t hf_review_answers(const struct hf_review_cell *cell)
{
    uint32_t count = 0;
    for (int i = 0; i < cell->tenths_room; i++)
        count += cell->tenths[i];
    return count;
}

double hf_review_quantile(const struct hf_review_cell *cell, double share)
{
    double wanted = ceil(share * hf_review_answers(cell));
    double below = 0;
    for (int i = 0; i < cell->tenths_room; i++) {
        below += cell->tenths[i];
        if (cell->tenths[i] > 0 && below >= wanted)
            return i / 10.0;
    }
    return 0;
}

/* ---- dates ----------------------------------------------------------------------------------- */

enum { DAYS_OF_400_YEARS = 146097, DAYS_TO_1970 = 719468 /* from 0000-03-01 */ };

/* Counted from March, so that the leap day comes last; in cycles of 400 years, which are all alike
 * (derived: from the rule of leap years). */
int32_t hf_review_day_of(int year, int month, int day)
{
    int y = month <= 2 ? year - 1 : year;
    int cycle = (y >= 0 ? y : y - 399) / 400;
    int of_cycle = y - cycle * 400;
    int of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int days = of_cycle * 365 + of_cycle / 4 - of_cycle / 100 + of_year;
    return cycle * DAYS_OF_400_YEARS + days - DAYS_TO_1970;
}

void hf_review_date(int32_t day, int *year, int *month, int *day_of_month)
{
    int days = day + DAYS_TO_1970;
    int cycle = (days >= 0 ? days : days - DAYS_OF_400_YEARS + 1) / DAYS_OF_400_YEARS;
    int of_cycle = days - cycle * DAYS_OF_400_YEARS;
    int y = (of_cycle - of_cycle / 1460 + of_cycle / 36524 - of_cycle / 146096) / 365;
    int of_year = of_cycle - (365 * y + y / 4 - y / 100);
    int m = (5 * of_year + 2) / 153;
    *day_of_month = of_year - (153 * m + 2) / 5 + 1;
    *month = m < 10 ? m + 3 : m - 9;
    *year = y + cycle * 400 + (*month <= 2);
}

/* Digits of a fixed count as a number, -1 where they are none. */
static int digits(const char *text, int count)
{
    int value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        value = value * 10 + (text[i] - '0');
    }
    return value;
}

bool hf_review_parse_date(const char *text, size_t length, int32_t *day)
{
    if (length != 10 || text[4] != '-' || text[7] != '-')
        return false;
    int y = digits(text, 4), m = digits(text + 5, 2), d = digits(text + 8, 2);
    int back_y, back_m, back_d;
    if (y < 0 || m < 1 || m > 12 || d < 1 || d > 31)
        return false;
    int32_t found = hf_review_day_of(y, m, d);
    hf_review_date(found, &back_y, &back_m, &back_d);
    if (back_m != m || back_d != d) /* the 30th of February */
        return false;
    *day = found;
    return true;
}

/* Reads "+01:00", "-05:30" or "Z" as seconds. */
static bool parse_offset(const char *text, size_t length, int *seconds)
{
    if (length == 1 && (*text == 'Z' || *text == 'z')) {
        *seconds = 0;
        return true;
    }
    if (length != 6 || (text[0] != '+' && text[0] != '-') || text[3] != ':')
        return false;
    int hours = digits(text + 1, 2), minutes = digits(text + 4, 2);
    if (hours < 0 || hours > 23 || minutes < 0 || minutes > 59)
        return false;
    *seconds = (hours * 60 + minutes) * (text[0] == '-' ? -60 : 60);
    return true;
}

bool hf_review_parse_started(const char *text, size_t length, int32_t *day, int64_t *seconds)
{
    int32_t found;
    int offset;
    if (length < 20 || !hf_review_parse_date(text, 10, &found) ||
        (text[10] != 'T' && text[10] != 't') || text[13] != ':' || text[16] != ':')
        return false;
    int h = digits(text + 11, 2), m = digits(text + 14, 2), s = digits(text + 17, 2);
    size_t at = 19;
    if (h < 0 || h > 23 || m < 0 || m > 59 || s < 0 || s > 60)
        return false;
    if (text[at] == '.') /* parts of a second, as browsers write them */
        for (at++; at < length && text[at] >= '0' && text[at] <= '9';)
            at++;
    if (!parse_offset(text + at, length - at, &offset))
        return false;
    *day = found;
    *seconds = (int64_t)found * 86400 + h * 3600 + m * 60 + s - offset;
    return true;
}
