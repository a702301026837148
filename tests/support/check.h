/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every test includes: cmocka with its headers in the right order, and comparisons that print what differs. */
#ifndef TEST_CHECK_H
#define TEST_CHECK_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Fail unless |actual - expected| <= tolerance; prints both, the difference and the unit. NaN never passes. */
#define check_close(actual, expected, tolerance, unit)                                                                 \
    check_close_at((actual), (expected), (tolerance), (unit), #actual, __FILE__, __LINE__)

static inline void check_close_at(double actual, double expected, double tolerance, const char *unit, const char *what,
                                  const char *file, int line)
{
    if (fabs(actual - expected) <= tolerance) return;
    print_error("%s = %.12g %s, expected %.12g %s: differs by %.3g, more than %.3g\n", what, actual, unit, expected,
                unit, actual - expected, tolerance);
    _fail(file, line);
}

#endif
