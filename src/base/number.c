/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _POSIX_C_SOURCE 200809L
#include "base/number.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST_NUMBER = 63 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t count_digits(const char *text, size_t n, size_t from)
{
    size_t i = from;
    while (i < n && is_digit(text[i])) i++;
    return i - from;
}

/* Length of the longest prefix that has the form of a number. */
static size_t number_length(const char *text, size_t n)
{
    size_t i = n && (text[0] == '+' || text[0] == '-') ? 1 : 0;
    const size_t whole = count_digits(text, n, i);
    i += whole;
    size_t part = 0;
    if (i < n && text[i] == '.') {
        part = count_digits(text, n, i + 1);
        if (whole || part) i += 1 + part;
    }
    if (!whole && !part) return 0;
    if (i < n && (text[i] == 'e' || text[i] == 'E')) {
        size_t j = i + 1;
        if (j < n && (text[j] == '+' || text[j] == '-')) j++;
        const size_t digits = count_digits(text, n, j);
        if (digits) i = j + digits;
    }
    return i;
}

/* The calling thread's locale is set to "C" around one call and put back: strtod and printf follow the thread's
 * locale, and a library must not touch the program's. glibc's "C" locale object is static, so this never allocates. */
static locale_t enter_c_locale(locale_t *c)
{
    *c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    return *c ? uselocale(*c) : (locale_t)0;
}

static void leave_c_locale(locale_t c, locale_t before)
{
    if (!c) return;
    uselocale(before);
    freelocale(c);
}

size_t es_number_read(const char *text, size_t n, double *value)
{
    char copy[LONGEST_NUMBER + 1];
    const size_t length = number_length(text, n);
    if (!length || length > LONGEST_NUMBER) return 0;
    memcpy(copy, text, length);
    copy[length] = '\0';
    locale_t c;
    const locale_t before = enter_c_locale(&c);
    const double read = strtod(copy, NULL);
    leave_c_locale(c, before);
    if (!isfinite(read)) return 0;
    *value = read;
    return length;
}

int es_vformat(char *buffer, size_t size, const char *format, va_list arguments)
{
    locale_t c;
    const locale_t before = enter_c_locale(&c);
    const int length = vsnprintf(buffer, size, format, arguments);
    leave_c_locale(c, before);
    return length;
}

int es_format(char *buffer, size_t size, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    const int length = es_vformat(buffer, size, format, arguments);
    va_end(arguments);
    return length;
}

void es_number_write(char *buffer, size_t size, double value)
{
    for (int digits = 1; digits <= 17; digits++) {
        double back;
        es_format(buffer, size, "%.*g", digits, value);
        if (es_number_read(buffer, strlen(buffer), &back) && back == value) return;
    }
}

double es_round_centi(double value)
{
    const double rounded = round(value * 100.0) / 100.0;
    return rounded == 0.0 ? 0.0 : rounded; /* no -0.00 */
}
