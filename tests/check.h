/* SPDX-License-Identifier: MIT */
/* What the tests share: cmocka and a few checks that say more when they fail. */
#ifndef TESTS_CHECK_H
#define TESTS_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <holdfast/status.h>

/* Succeeds or says with which status and where it failed. */
#define assert_ok(expression)                                                                      \
    do {                                                                                           \
        enum hf_status assert_ok_status = (expression);                                            \
        if (assert_ok_status != HF_OK)                                                             \
            fail_msg("%s: %s", #expression, hf_status_text(assert_ok_status));                     \
    } while (0)

#endif
