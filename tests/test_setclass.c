/* SPDX-License-Identifier: MIT */
/* The computed classes against the published table (tests/data/setclasses.tsv, source there). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include <holdfast/setclass.h>

struct row {
    char forte[8], prime_forte[16], prime[16], icv[32], tn[4], tni[4], forms[4], z[8];
};

static int read_rows(struct row *rows, int most)
{
    char line[256];
    int count = 0;
    FILE *file = fopen("tests/data/setclasses.tsv", "r");
    assert_non_null(file);
    while (count < most && fgets(line, sizeof line, file)) {
        struct row *row = &rows[count];
        if (line[0] == '#' || !strncmp(line, "forte", 5))
            continue;
        assert_int_equal(sscanf(line, "%7s %15s %15s %31s %3s %3s %3s %7s", row->forte,
                                row->prime_forte, row->prime, row->icv, row->tn, row->tni,
                                row->forms, row->z),
                         8);
        count++;
    }
    fclose(file);
    return count;
}

static void check_number(const char *expected, int got)
{
    char text[12];
    snprintf(text, sizeof text, "%d", got);
    assert_string_equal(text, expected);
}

/* published: Forte 1973, Rahn 1980, by way of the table. */
static void all_223_classes_agree_with_the_published_table(void **state)
{
    (void)state;
    static struct row rows[HF_SETCLASSES];
    assert_int_equal(read_rows(rows, HF_SETCLASSES), 223);
    for (int i = 0; i < 223; i++) {
        const struct hf_setclass *class = hf_setclass_at(i + 1);
        char prime[HF_PCSET_TEXT], icv[32];
        assert_string_equal(class->name, rows[i].forte);
        assert_string_equal(hf_pcset_format(class->prime_forte, prime), rows[i].prime_forte);
        assert_string_equal(hf_pcset_format(class->prime, prime), rows[i].prime);
        snprintf(icv, sizeof icv, "%d,%d,%d,%d,%d,%d", class->icv[0], class->icv[1], class->icv[2],
                 class->icv[3], class->icv[4], class->icv[5]);
        assert_string_equal(icv, rows[i].icv);
        check_number(rows[i].tn, class->invariant_tn);
        check_number(rows[i].tni, class->invariant_tni);
        check_number(rows[i].forms, class->forms);
        assert_string_equal(class->z ? class->z->name : "-", rows[i].z);
        assert_ptr_equal(hf_setclass_find(class->size, class->number), class);
    }
}

/* derived: 224 orbits of 24 operations on 4096 sets, by size 1 1 6 12 29 38 50 38 29 12 6 1 1. */
static void there_are_224_classes_the_empty_sets_among_them(void **state)
{
    (void)state;
    const int by_size[] = {1, 1, 6, 12, 29, 38, 50, 38, 29, 12, 6, 1, 1};
    int count[13] = {0};
    for (int i = 0; i < HF_SETCLASSES; i++) {
        assert_int_equal(hf_setclass_at(i)->index, i);
        count[hf_setclass_at(i)->size]++;
    }
    assert_memory_equal(count, by_size, sizeof count);
    assert_null(hf_setclass_at(-1));
    assert_null(hf_setclass_at(HF_SETCLASSES));
    const struct hf_setclass *empty = hf_setclass_of(0);
    assert_string_equal(empty->name, "0-1");
    assert_int_equal(empty->prime, 0);
    assert_int_equal(empty->forms, 1);
}

static void every_set_is_a_member_of_its_class_and_of_no_other(void **state)
{
    (void)state;
    int met[HF_SETS] = {0};
    for (int i = 0; i < HF_SETCLASSES; i++) {
        const struct hf_setclass *class = hf_setclass_at(i);
        hf_pcset members[HF_SETCLASS_FORMS];
        int count = hf_setclass_members(class, members);
        assert_int_equal(count, class->forms);
        for (int j = 0; j < count; j++) {
            assert_ptr_equal(hf_setclass_of(members[j]), class);
            assert_true(j == 0 || hf_pcset_compare(members[j - 1], members[j]) < 0);
            met[members[j]]++;
        }
    }
    for (int set = 0; set < HF_SETS; set++)
        assert_int_equal(met[set], 1);
}

static void every_operation_stays_in_the_class(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        const struct hf_setclass *class = hf_setclass_of((hf_pcset)set);
        for (int n = 0; n < 12; n++) {
            assert_ptr_equal(hf_setclass_of(hf_pcset_transpose((hf_pcset)set, n)), class);
            assert_ptr_equal(hf_setclass_of(hf_pcset_invert((hf_pcset)set, n)), class);
        }
        assert_ptr_equal(hf_setclass_of(hf_pcset_complement((hf_pcset)set)), class->complement);
    }
}

/* derived: the rows of the published table in which the two columns differ. */
static void the_two_prime_form_rules_differ_for_six_classes(void **state)
{
    (void)state;
    const char *expected[] = {"5-20", "6-Z29", "6-31", "7-Z18", "7-20", "8-26"};
    int found = 0;
    for (int i = 0; i < HF_SETCLASSES; i++)
        if (hf_setclass_at(i)->prime != hf_setclass_at(i)->prime_forte) {
            assert_in_range(found, 0, 5);
            assert_string_equal(hf_setclass_at(i)->name, expected[found++]);
        }
    assert_int_equal(found, 6);
}

/* published: complementary hexachords have the same vector (Forte 1973). */
static void complementary_hexachords_have_equal_vectors(void **state)
{
    (void)state;
    for (int number = 1; number <= 50; number++) {
        const struct hf_setclass *class = hf_setclass_find(6, number);
        assert_memory_equal(class->icv, class->complement->icv, sizeof class->icv);
        assert_true(class->complement == class || class->complement == class->z);
    }
}

/* derived: trying the 20 trichords of all 50 hexachord classes. */
static void only_6_z17_has_all_twelve_trichords(void **state)
{
    (void)state;
    for (int i = 0; i < HF_SETCLASSES; i++)
        assert_int_equal(hf_setclass_all_trichord(hf_setclass_at(i)),
                         hf_setclass_at(i) == hf_setclass_find(6, 17));
    const struct hf_setclass *class = hf_setclass_find(6, 17);
    const int expected[] = {1, 1, 2, 2, 5, 1, 1, 2, 1, 1, 2, 1}; /* 3-1 to 3-12 */
    int census[HF_SETCLASSES], first = hf_setclass_find(3, 1)->index;
    hf_setclass_census(class->prime, 3, census);
    assert_memory_equal(census + first, expected, sizeof expected);
    assert_string_equal(class->z->name, "6-Z43");
}

/* derived: the published all-interval tetrachords are those whose vector is 111111; 6-Z17 has each
 * exactly once. */
static void the_all_interval_tetrachords_are_z15_and_z29(void **state)
{
    (void)state;
    const int all_once[6] = {1, 1, 1, 1, 1, 1};
    int census[HF_SETCLASSES];
    hf_setclass_census(hf_setclass_find(6, 17)->prime, 4, census);
    for (int number = 1; number <= 29; number++) {
        const struct hf_setclass *class = hf_setclass_find(4, number);
        bool all_interval = !memcmp(class->icv, all_once, sizeof all_once);
        assert_int_equal(all_interval, number == 15 || number == 29);
        assert_true(!all_interval || census[class->index] == 1);
    }
}

static const struct hf_setclass *parsed(const char *text)
{
    const struct hf_setclass *class = NULL;
    struct hf_diag diag;
    if (hf_setclass_parse(text, &class, &diag) != HF_OK)
        fail_msg("%s: %s", text, diag.message);
    return class;
}

/* Writes a set as a list of numbers between two brackets: "[0,1,6]". */
static void write_list(hf_pcset set, char *text, size_t size)
{
    int pcs[HF_PCS], count = hf_pcset_list(set, pcs);
    size_t length = 1;
    snprintf(text, size, "[");
    for (int i = 0; i < count; i++)
        length += (size_t)snprintf(text + length, size - length, "%s%d", i ? "," : "", pcs[i]);
    snprintf(text + length, size - length, "]");
}

static void every_class_is_read_by_each_of_its_names(void **state)
{
    (void)state;
    for (int i = 0; i < HF_SETCLASSES; i++) {
        const struct hf_setclass *class = hf_setclass_at(i);
        const hf_pcset primes[] = {class->prime, class->prime_forte};
        char text[64], digits[HF_PCSET_TEXT];
        assert_ptr_equal(parsed(class->name), class);
        snprintf(text, sizeof text, "%d-%d", class->size, class->number);
        assert_ptr_equal(parsed(text), class);
        snprintf(text, sizeof text, "%d-z%d", class->size, class->number);
        if (class->z)
            assert_ptr_equal(parsed(text), class);
        for (int rule = 0; rule < 2; rule++) {
            write_list(primes[rule], text, sizeof text);
            assert_ptr_equal(parsed(text), class);
            snprintf(text, sizeof text, "(%s)", hf_pcset_format(primes[rule], digits));
            if (class->size > 2)
                assert_ptr_equal(parsed(text), class);
        }
    }
}

static void a_set_that_is_no_prime_form_is_refused_with_the_prime_form(void **state)
{
    (void)state;
    for (unsigned set = 0; set < HF_SETS; set++) {
        const struct hf_setclass *class = hf_setclass_of((hf_pcset)set), *got = NULL;
        char text[64], prime[HF_PCSET_TEXT];
        struct hf_diag diag;
        write_list((hf_pcset)set, text, sizeof text);
        enum hf_status status = hf_setclass_parse(text, &got, &diag);
        if (set == class->prime || set == class->prime_forte) {
            assert_int_equal(status, HF_OK);
            continue;
        }
        assert_int_equal(status, HF_E_USAGE);
        assert_null(got);
        assert_non_null(strstr(diag.advice, hf_pcset_format(class->prime, prime)));
        assert_non_null(strstr(diag.advice, class->name));
    }
}

static void what_is_no_class_is_refused_with_a_word(void **state)
{
    (void)state;
    const struct {
        const char *text, *says;
    } rows[] = {
        {"3-13", "numbered 1 to 12"}, {"6-51", "numbered 1 to 50"},
        {"13-1", "0 to 12 notes"},    {"3-0", "numbered 1 to 12"},
        {"3-Z5", "write 3-5"},        {"", "Forte name"},
        {"-5", "Forte name"},         {"3-", "Forte name"},
        {"3-5x", "Forte name"},       {"x", "Forte name"},
        {"C C# F#", "is 3-5"},        {"0166", "is 3-5"},
        {"3-555", "Forte name"},      {"6-Z", "Forte name"},
        {"17", "Forte name"},         {"99999999999999999999-1", "Forte name"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct hf_setclass *got = NULL;
        struct hf_diag diag = {0};
        assert_int_equal(hf_setclass_parse(rows[i].text, &got, &diag), HF_E_USAGE);
        assert_null(got);
        if (!strstr(diag.advice, rows[i].says))
            fail_msg("%s: %s; %s", rows[i].text, diag.message, diag.advice);
        assert_int_equal(hf_setclass_parse(rows[i].text, &got, NULL), HF_E_USAGE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_223_classes_agree_with_the_published_table),
        cmocka_unit_test(there_are_224_classes_the_empty_sets_among_them),
        cmocka_unit_test(every_set_is_a_member_of_its_class_and_of_no_other),
        cmocka_unit_test(every_operation_stays_in_the_class),
        cmocka_unit_test(the_two_prime_form_rules_differ_for_six_classes),
        cmocka_unit_test(complementary_hexachords_have_equal_vectors),
        cmocka_unit_test(only_6_z17_has_all_twelve_trichords),
        cmocka_unit_test(the_all_interval_tetrachords_are_z15_and_z29),
        cmocka_unit_test(every_class_is_read_by_each_of_its_names),
        cmocka_unit_test(a_set_that_is_no_prime_form_is_refused_with_the_prime_form),
        cmocka_unit_test(what_is_no_class_is_refused_with_a_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
