/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The colour ramp, read back from sRGB into CIE L*a*b* by formulas of their own. */
#include "support/check.h"

#include "present/drawing/ramp.h"

typedef struct lab {
    double l, a, b;
} lab;

/* IEC 61966-2-1. */
static double linear(double value)
{
    return value <= 0.04045 ? value / 12.92 : pow((value + 0.055) / 1.055, 2.4);
}

/* CIE 15. */
static double root(double t)
{
    return t > 216.0 / 24389.0 ? cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
}

static lab measure(es_colour k)
{
    const double r = linear(k.red), g = linear(k.green), b = linear(k.blue);
    const double x = (0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047;
    const double y = 0.2126729 * r + 0.7151522 * g + 0.0721750 * b;
    const double z = (0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / 1.08883;
    return (lab){116.0 * root(y) - 16.0, 500.0 * (root(x) - root(y)), 200.0 * (root(y) - root(z))};
}

static void equal_steps_look_equal(void **state)
{
    (void)state;
    double least = INFINITY, most = 0.0;
    for (int i = 0; i < 40; i++) {
        const lab p = measure(es_ramp_at(i / 40.0)), q = measure(es_ramp_at((i + 1) / 40.0));
        const double step = sqrt((q.l - p.l) * (q.l - p.l) + (q.a - p.a) * (q.a - p.a) + (q.b - p.b) * (q.b - p.b));
        least = fmin(least, step);
        most = fmax(most, step);
    }
    assert_true(most < 1.06 * least);
}

static void lightness_rises_all_the_way(void **state)
{
    (void)state;
    for (int i = 0; i < 70; i++) {
        const double rise = measure(es_ramp_at((i + 1) / 70.0)).l - measure(es_ramp_at(i / 70.0)).l;
        assert_true(rise > 0.9 && rise < 1.3);
    }
    assert_true(measure(es_ramp_at(0.0)).l < 20.0);
    assert_true(measure(es_ramp_at(1.0)).l > 90.0);
}

/* Red against green is what most colour-blind readers lack: a* must tell nothing that lightness does not. */
static void red_and_green_are_not_needed(void **state)
{
    (void)state;
    for (int i = 0; i <= 50; i++) assert_true(fabs(measure(es_ramp_at(i / 50.0)).a) < 9.0);
}

static void nothing_is_cut_off_at_the_gamut(void **state)
{
    (void)state;
    for (int i = 0; i <= 100; i++) {
        const es_colour k = es_ramp_at(i / 100.0);
        const double channel[] = {k.red, k.green, k.blue};
        for (int c = 0; c < 3; c++) assert_true(channel[c] > 0.0 && channel[c] < 1.0);
    }
}

static void margins_beyond_the_ends_take_the_ends(void **state)
{
    (void)state;
    const es_colour low = es_ramp_of_margin(-321.0), dark = es_ramp_at(0.0), none = es_ramp_of_margin(NAN);
    const es_colour high = es_ramp_of_margin(99.0), bright = es_ramp_at(1.0);
    check_close(low.blue, dark.blue, 0.0, "");
    check_close(none.blue, dark.blue, 0.0, "");
    check_close(high.red, bright.red, 0.0, "");
    check_close(es_ramp_of_margin(20.0).green, es_ramp_at(0.5).green, 1e-12, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equal_steps_look_equal),
        cmocka_unit_test(lightness_rises_all_the_way),
        cmocka_unit_test(red_and_green_are_not_needed),
        cmocka_unit_test(nothing_is_cut_off_at_the_gamut),
        cmocka_unit_test(margins_beyond_the_ends_take_the_ends),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
