/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers as text, always with a decimal point, whatever the locale. The only place where strtod and printf of a
 * double are called. */
#ifndef ES_NUMBER_H
#define ES_NUMBER_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/* Read a decimal number (sign, digits, point, exponent; no hex, no inf, no nan) from the front of text[0..n).
 * Returns the bytes read, 0 if there is no finite number there. */
size_t es_number_read(const char *text, size_t n, double *value);

/* vsnprintf in the C locale. */
int es_vformat(char *buffer, size_t size, const char *format, va_list arguments);
int es_format(char *buffer, size_t size, const char *format, ...) __attribute__((format(printf, 3, 4)));

/* The shortest decimal that reads back to the same double. NUL-ended; buffer of at least 32. */
void es_number_write(char *buffer, size_t size, double value);

/* Round to 0.01: what is judged and printed of a margin. */
double es_round_centi(double value);

#endif
