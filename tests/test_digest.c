/* SPDX-License-Identifier: MIT */
/* What a page is made of: digests and base64, against the vectors of their standards. */
#include "check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <holdfast/base64.h>
#include <holdfast/sha256.h>

static void assert_digest(const char *bytes, size_t length, const char *expected)
{
    unsigned char digest[HF_SHA256_BYTES];
    char text[2 * HF_SHA256_BYTES + 1];
    hf_sha256(bytes, length, digest);
    for (int i = 0; i < HF_SHA256_BYTES; i++)
        snprintf(text + 2 * i, 3, "%02x", digest[i]);
    assert_string_equal(text, expected);
}

/* published: NIST, examples for FIPS 180-4 (SHA-256: one block, two blocks); the digest of nothing
 * and of a million a (FIPS 180-2, appendix B.3). */
static void digests_are_those_of_the_standard(void **state)
{
    (void)state;
    static const char two[] = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    assert_digest("", 0, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_digest("abc", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_digest(two, 56, "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    char *million = malloc(1000000);
    assert_non_null(million);
    memset(million, 'a', 1000000);
    assert_digest(million, 1000000,
                  "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    free(million);
}

/* published: RFC 4648, section 10. */
static void base64_is_that_of_the_standard(void **state)
{
    (void)state;
    static const char *const texts[] = {"",         "Zg==",     "Zm8=",    "Zm9v",
                                        "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"};
    for (size_t length = 0; length <= 6; length++) {
        char text[16] = "";
        assert_int_equal(hf_base64("foobar", length, text), strlen(texts[length]));
        assert_int_equal(hf_base64_length(length), strlen(texts[length]));
        assert_string_equal(text, texts[length]);
    }
}

/* derived: the alphabet in its order is the six-bit numbers 0 to 63 in a row. */
static void base64_has_all_its_characters(void **state)
{
    (void)state;
    unsigned char bytes[48];
    char text[65] = "";
    for (int i = 0; i < 48; i++) {
        int group = i / 3 * 4, place = i % 3;
        int bits = group << 18 | (group + 1) << 12 | (group + 2) << 6 | (group + 3);
        bytes[i] = (unsigned char)(bits >> (16 - 8 * place));
    }
    hf_base64(bytes, sizeof bytes, text);
    assert_string_equal(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(digests_are_those_of_the_standard),
        cmocka_unit_test(base64_is_that_of_the_standard),
        cmocka_unit_test(base64_has_all_its_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
