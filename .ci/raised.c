/* SPDX-License-Identifier: MIT */
/* For a build for coverage, linked with --wrap=raise: a program that ends by a signal, as ours does
 * where it was asked to, would take with it what it counted. */
int __real_raise(int number);
int __wrap_raise(int number);
void __gcov_dump(void);
void __gcov_reset(void);

int __wrap_raise(int number)
{
    __gcov_dump();
    __gcov_reset();
    return __real_raise(number);
}
