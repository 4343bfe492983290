/* SPDX-License-Identifier: MIT */
/* The figures of a review: intervals, percentiles, dates, weights. */
#define _GNU_SOURCE /* timegm */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "check.h"

#include <holdfast/random.h>
#include <holdfast/review.h>

static void an_interval_is_wilsons(void **state)
{
    (void)state;
    /* published: R. G. Newcombe, "Two-sided confidence intervals for the single proportion:
     * comparison of seven methods", Statistics in Medicine 17, 1998, table I, the score method of
     * Wilson (1927), to four places */
    static const struct {
        uint32_t got, marked;
        double low, high;
    } rows[] = {{81, 263, 0.2553, 0.3662},
                {15, 148, 0.0624, 0.1605},
                {0, 20, 0.0000, 0.1611},
                {1, 29, 0.0061, 0.1718}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double low, high;
        hf_review_wilson(rows[i].got, rows[i].marked, &low, &high);
        assert_true(fabs(low - rows[i].low) <= 0.00005);
        assert_true(fabs(high - rows[i].high) <= 0.00005);
    }
}

static void an_interval_is_where_the_score_test_turns(void **state)
{
    (void)state;
    /* derived: at both ends |got/n - p| is z times sqrt(p (1 - p) / n), which defines the interval;
     * from 0 to 1, and mirrored for n - got */
    for (uint32_t n = 1; n <= 40; n++)
        for (uint32_t got = 0; got <= n; got++) {
            double end[2], mirror[2];
            hf_review_wilson(got, n, &end[0], &end[1]);
            hf_review_wilson(n - got, n, &mirror[0], &mirror[1]);
            assert_true(end[0] >= 0 && end[0] < end[1] && end[1] <= 1);
            assert_true(fabs(end[0] - (1 - mirror[1])) < 1e-12);
            for (int i = 0; i < 2; i++) {
                double p = end[i], off = fabs((double)got / n - p);
                assert_true(fabs(off - 1.959963984540054 * sqrt(p * (1 - p) / n)) < 1e-9);
            }
        }
}

static void a_date_is_the_systems(void **state)
{
    (void)state;
    /* derived: POSIX time without leap seconds, by the C library's timegm */
    for (int year = 1890; year <= 2110; year++)
        for (int month = 1; month <= 12; month++)
            for (int day = 1; day <= 28; day += 9) {
                struct tm tm = {.tm_year = year - 1900, .tm_mon = month - 1, .tm_mday = day};
                int y, m, d;
                int32_t days = hf_review_day_of(year, month, day);
                assert_int_equal(days, timegm(&tm) / 86400);
                hf_review_date(days, &y, &m, &d);
                assert_true(y == year && m == month && d == day);
            }
    int32_t day = 0;
    assert_true(hf_review_parse_date("2024-02-29", 10, &day));
    assert_int_equal(day, 19782); /* derived: date -d 2024-02-29 +%s / 86400 */
    static const char *const none[] = {"2023-02-29", "2024-13-01", "2024-00-10", "2024-04-31",
                                       "24-04-30xx", "2024/04/30", "2024-4-30 ", "2024-04/30",
                                       "x024-04-30", "2024-:4-30", "2024-04-00", "2024-04-32",
                                       "2024-04-3x"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        assert_false(hf_review_parse_date(none[i], 10, &day));
    assert_false(hf_review_parse_date("2024-04-30", 9, &day));
    assert_true(hf_review_parse_date("0000-01-01", 10, &day)); /* the first that has four digits */
    int y, m, d;
    hf_review_date(day, &y, &m, &d);
    assert_true(y == 0 && m == 1 && d == 1);
    hf_review_date(day - 1, &y, &m, &d); /* a day earlier, in another cycle of 400 years */
    assert_true(y == -1 && m == 12 && d == 31);
}

static void a_start_has_its_local_date_and_its_time(void **state)
{
    (void)state;
    /* derived: RFC 3339; the date is the local one, the seconds are those of UTC */
    static const struct {
        const char *text;
        const char *date;
        int64_t seconds;
    } rows[] = {{"2026-11-25T08:39:17+00:00", "2026-11-25", 1795595957},
                {"2026-11-25T08:39:17Z", "2026-11-25", 1795595957},
                {"2026-11-25T08:39:17.250Z", "2026-11-25", 1795595957},
                {"2026-11-25t08:39:17z", "2026-11-25", 1795595957},
                {"2026-11-25T08:39:17.Z", "2026-11-25", 1795595957},
                {"2026-11-26T00:10:00+13:00", "2026-11-26", 1795605000},
                {"2026-11-25T06:10:00-05:00", "2026-11-25", 1795605000}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int32_t day = 0, expected = 0;
        int64_t seconds = 0;
        assert_true(hf_review_parse_started(rows[i].text, strlen(rows[i].text), &day, &seconds));
        assert_true(hf_review_parse_date(rows[i].date, 10, &expected));
        assert_int_equal(day, expected);
        assert_int_equal(seconds, rows[i].seconds);
    }
    static const char *const none[] = {"",
                                       "yesterday",
                                       "2026-11-25",
                                       "2026-11-25T08:39:17",
                                       "2026-11-25T25:39:17Z",
                                       "2026-11-25T08:39:17+0100",
                                       "2026-11-25 08:39:17+01:00",
                                       "2026-11-25T24:00:00Z",
                                       "2026-11-25T-1:00:00Z",
                                       "2026-11-25T08:60:17Z",
                                       "2026-11-25T08:x9:17Z",
                                       "2026-11-25T08:39:61Z",
                                       "2026-11-25T08:39:1xZ",
                                       "2026-11-25T08-39:17Z",
                                       "2026-11-25T08:39-17Z",
                                       "2026-11-25T08:39:17*01:00",
                                       "2026-11-25T08:39:17+01-00",
                                       "2026-11-25T08:39:17+24:00",
                                       "2026-11-25T08:39:17+0x:00",
                                       "2026-11-25T08:39:17+01:60",
                                       "2026-11-25T08:39:17+01:x0",
                                       "2026-11-25T08:39:17Y",
                                       "2026-11-25T08:39:17.25",
                                       "2026-11-25T08:39:17.2x5Z",
                                       "2026-02-30T08:39:17Z"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        int32_t day;
        int64_t seconds;
        assert_false(hf_review_parse_started(none[i], strlen(none[i]), &day, &seconds));
    }
}

static int compare_ints(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

static void a_quantile_is_the_nearest_rank(void **state)
{
    (void)state;
    /* derived: the list in order; by brute force the first of which so many are not above */
    static const double shares[] = {0.01, 0.25, 0.5, 0.75, 0.9, 1};
    struct hf_random random;
    hf_random_init(&random, 4, 4);
    for (int round = 0; round < 300; round++) {
        int values[64], count = 1 + (int)hf_random_below(&random, 64);
        uint32_t tenths[128] = {0};
        struct hf_review_cell cell = {.tenths = tenths, .tenths_room = 128};
        for (int i = 0; i < count; i++) {
            values[i] = (int)hf_random_below(&random, round % 2 ? 128 : 9);
            tenths[values[i]]++;
        }
        qsort(values, (size_t)count, sizeof *values, compare_ints);
        assert_int_equal(hf_review_answers(&cell), count);
        for (size_t s = 0; s < sizeof shares / sizeof *shares; s++) {
            int i = 0;
            while (i + 1 < shares[s] * count)
                i++;
            assert_true(fabs(hf_review_quantile(&cell, shares[s]) - values[i] / 10.0) < 1e-12);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_interval_is_wilsons),
        cmocka_unit_test(an_interval_is_where_the_score_test_turns),
        cmocka_unit_test(a_date_is_the_systems),
        cmocka_unit_test(a_start_has_its_local_date_and_its_time),
        cmocka_unit_test(a_quantile_is_the_nearest_rank),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
