/* SPDX-License-Identifier: MIT */
/* Paths against a search of its own (breadth first, by length alone), for every two forms. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/path.h>

static bool shares(hf_pcset a, hf_pcset b, int share)
{
    int size = hf_pcset_size(a & b);
    bool triad = false;
    for (int n = 0; n < 4; n++)
        triad = triad || !(~(a & b) & (0x111 << n));
    return share == 0 ? triad || size >= 4 : share == 3 ? triad : size >= share;
}

/* Steps from `from` to every member, -1 where there is no way. */
static void count_steps(const hf_pcset *member, int count, int from, int share, int *steps)
{
    int queue[HF_SETCLASS_FORMS], head = 0, tail = 0;
    for (int i = 0; i < count; i++)
        steps[i] = -1;
    steps[from] = 0;
    queue[tail++] = from;
    while (head < tail) {
        int at = queue[head++];
        for (int i = 0; i < count; i++)
            if (i != at && steps[i] < 0 && shares(member[at], member[i], share)) {
                steps[i] = steps[at] + 1;
                queue[tail++] = i;
            }
    }
}

static void check_chain(const hf_pcset *chain, int length, hf_pcset from, hf_pcset to, int share)
{
    assert_int_equal(chain[0], from);
    assert_int_equal(chain[length - 1], to);
    for (int i = 1; i < length; i++) {
        assert_ptr_equal(hf_setclass_of(chain[i]), hf_setclass_of(from));
        assert_true(shares(chain[i - 1], chain[i], share));
    }
}

static void every_two_forms_are_joined_by_a_shortest_chain(void **state)
{
    (void)state;
    const int numbers[] = {17, 20, 1, 35, 43, 50};
    for (size_t c = 0; c < sizeof numbers / sizeof *numbers; c++)
        for (int share = 0; share <= 5; share += share ? 1 : 3) {
            hf_pcset member[HF_SETCLASS_FORMS];
            int count = hf_setclass_members(hf_setclass_find(6, numbers[c]), member);
            for (int from = 0; from < count; from++) {
                int steps[HF_SETCLASS_FORMS];
                count_steps(member, count, from, share, steps);
                for (int to = 0; to < count; to++) {
                    hf_pcset chain[HF_SETCLASS_FORMS];
                    struct hf_diag diag;
                    enum hf_path_share rule = (enum hf_path_share)share;
                    int length = hf_path_find(member[from], member[to], rule, chain);
                    assert_int_equal(length, steps[to] + 1);
                    assert_int_equal(hf_path_explain(member[from], member[to], rule, &diag),
                                     length ? HF_OK : HF_E_USAGE);
                    if (length)
                        check_chain(chain, length, member[from], member[to], share);
                }
            }
        }
}

/* derived: the forms of 6-Z17 that share a triad are its six completions; four notes join all 24
 * within four steps; five notes join them in pairs. */
static void the_forms_of_6_z17_are_joined_as_counted(void **state)
{
    (void)state;
    const struct {
        enum hf_path_share share;
        int reached, farthest;
    } rows[] = {{HF_PATH_TRIAD, 6, 1}, {HF_PATH_FOUR, 24, 4}, {HF_PATH_FIVE, 2, 1}};
    hf_pcset member[HF_SETCLASS_FORMS], chain[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(6, 17), member);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int reached = 0, farthest = 0;
        for (int to = 0; to < count; to++) {
            int length = hf_path_find(member[0], member[to], rows[i].share, chain);
            reached += length > 0;
            farthest = length - 1 > farthest ? length - 1 : farthest;
        }
        assert_int_equal(reached, rows[i].reached);
        assert_int_equal(farthest, rows[i].farthest);
    }
}

/* Of the chains of the same length none moves less: tried for chains of two steps. */
static void of_shortest_chains_one_that_moves_least_is_taken(void **state)
{
    (void)state;
    hf_pcset member[HF_SETCLASS_FORMS], chain[HF_SETCLASS_FORMS];
    int count = hf_setclass_members(hf_setclass_find(6, 17), member), tried = 0;
    for (int from = 0; from < count; from++)
        for (int to = 0; to < count; to++) {
            int length = hf_path_find(member[from], member[to], HF_PATH_FOUR, chain), least = 1000;
            if (length != 3)
                continue;
            for (int via = 0; via < count; via++) {
                int moved = hf_pcset_movement(member[from], member[via], NULL) +
                            hf_pcset_movement(member[via], member[to], NULL);
                if (via != from && via != to && shares(member[from], member[via], 4) &&
                    shares(member[via], member[to], 4) && moved < least)
                    least = moved;
            }
            assert_int_equal(hf_pcset_movement(chain[0], chain[1], NULL) +
                                 hf_pcset_movement(chain[1], chain[2], NULL),
                             least);
            tried++;
        }
    assert_true(tried > 100);
}

static void why_there_is_no_path_is_said(void **state)
{
    (void)state;
    hf_pcset chain[HF_SETCLASS_FORMS];
    hf_pcset set = hf_setclass_find(6, 17)->prime, moved = hf_pcset_transpose(set, 1);
    struct hf_diag diag = {0};
    assert_int_equal(hf_path_find(set, hf_setclass_find(6, 20)->prime, HF_PATH_ANY, chain), 0);
    assert_int_equal(hf_path_explain(set, hf_setclass_find(6, 20)->prime, HF_PATH_ANY, &diag),
                     HF_E_USAGE);
    assert_non_null(strstr(diag.message, "6-Z17 and 6-20"));
    assert_int_equal(hf_path_explain(set, moved, HF_PATH_TRIAD, &diag), HF_E_USAGE);
    assert_non_null(strstr(diag.message, "only 6 of the 24 forms"));
    assert_non_null(strstr(diag.advice, "--share 4"));
    assert_int_equal(hf_path_find(set, set, HF_PATH_FIVE, chain), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_two_forms_are_joined_by_a_shortest_chain),
        cmocka_unit_test(the_forms_of_6_z17_are_joined_as_counted),
        cmocka_unit_test(of_shortest_chains_one_that_moves_least_is_taken),
        cmocka_unit_test(why_there_is_no_path_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
