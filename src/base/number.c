/* SPDX-License-Identifier: MIT */
/* Invariants: no libc conversion is used, so no locale can change what is read; a result is the
 * double nearest to the decimal text. */
#include <holdfast/number.h>

#include <stdbool.h>
#include <string.h>

/* Powers of ten that are exact in double. */
static const double power_of_ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                      1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                      1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

enum { MOST_DIGITS = 15, MOST_EXPONENT = 22 };

struct decimal {
    uint64_t digits;
    int significant; /* how many digits `digits` holds */
    int exponent;
    bool negative;
    bool any;
};

static size_t read_sign(const char *text, size_t length, bool *negative)
{
    *negative = length && text[0] == '-';
    return length && (text[0] == '-' || text[0] == '+');
}

static enum hf_number_fault read_digits(const char *text, size_t length, size_t *at,
                                        struct decimal *value)
{
    bool point = false;
    int zeros = 0; /* zeros that count only if another digit follows */
    for (; *at < length; ++*at) {
        char c = text[*at];
        if (c == '.' && !point) {
            point = true;
            continue;
        }
        if (c < '0' || c > '9')
            break;
        value->any = true;
        value->exponent -= point;
        if (c == '0') {
            zeros += value->significant > 0;
            continue;
        }
        value->significant += zeros + 1;
        if (value->significant > MOST_DIGITS)
            return HF_NUMBER_DIGITS;
        for (; zeros > 0; zeros--)
            value->digits *= 10;
        value->digits = value->digits * 10 + (uint64_t)(c - '0');
    }
    value->exponent += zeros;
    return value->any ? HF_NUMBER_FINE : HF_NUMBER_MALFORMED;
}

static enum hf_number_fault read_exponent(const char *text, size_t length, size_t *at,
                                          struct decimal *value)
{
    if (*at == length || (text[*at] != 'e' && text[*at] != 'E'))
        return HF_NUMBER_FINE;
    long exponent = 0;
    enum hf_number_fault fault =
        hf_number_whole(text + *at + 1, length - *at - 1, -999, 999, &exponent);
    if (fault != HF_NUMBER_FINE)
        return fault;
    value->exponent += (int)exponent;
    *at = length;
    return HF_NUMBER_FINE;
}

enum hf_number_fault hf_number_real(const char *text, size_t length, double low, double high,
                                    double *out)
{
    struct decimal value = {0};
    size_t at = read_sign(text, length, &value.negative);
    enum hf_number_fault fault = read_digits(text, length, &at, &value);
    if (fault == HF_NUMBER_FINE)
        fault = read_exponent(text, length, &at, &value);
    if (fault != HF_NUMBER_FINE)
        return fault;
    if (at != length)
        return HF_NUMBER_MALFORMED;
    if (value.digits && (value.exponent > MOST_EXPONENT || value.exponent < -MOST_EXPONENT))
        return HF_NUMBER_RANGE;
    double result = (double)value.digits;
    if (value.digits && value.exponent > 0)
        result *= power_of_ten[value.exponent];
    else if (value.digits && value.exponent < 0)
        result /= power_of_ten[-value.exponent];
    if (value.negative)
        result = -result;
    if (result < low || result > high)
        return HF_NUMBER_RANGE;
    *out = result;
    return HF_NUMBER_FINE;
}

enum hf_number_fault hf_number_u64(const char *text, size_t length, uint64_t *out)
{
    uint64_t value = 0;
    if (length == 0)
        return HF_NUMBER_MALFORMED;
    for (size_t i = 0; i < length; i++) {
        if (text[i] < '0' || text[i] > '9')
            return HF_NUMBER_MALFORMED;
    }
    for (size_t i = 0; i < length; i++) {
        uint64_t digit = (uint64_t)(text[i] - '0');
        if (value > (UINT64_MAX - digit) / 10)
            return HF_NUMBER_RANGE;
        value = value * 10 + digit;
    }
    *out = value;
    return HF_NUMBER_FINE;
}

enum hf_number_fault hf_number_whole(const char *text, size_t length, long low, long high,
                                     long *out)
{
    bool negative;
    size_t at = read_sign(text, length, &negative);
    uint64_t magnitude = 0;
    enum hf_number_fault fault = hf_number_u64(text + at, length - at, &magnitude);
    if (fault != HF_NUMBER_FINE)
        return fault;
    if (magnitude > INT32_MAX)
        return HF_NUMBER_RANGE;
    long value = negative ? -(long)magnitude : (long)magnitude;
    if (value < low || value > high)
        return HF_NUMBER_RANGE;
    *out = value;
    return HF_NUMBER_FINE;
}

bool hf_number_hex32(const char *text, uint32_t *out)
{
    static const char digits[] = "0123456789abcdef";
    uint32_t value = 0;
    if (!text || strlen(text) != 8 || strspn(text, digits) != 8)
        return false;
    for (const char *c = text; *c; c++)
        value = value << 4 | (uint32_t)(strchr(digits, *c) - digits);
    *out = value;
    return true;
}
