/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "present/palette.h"

/* The colour cube and grey ramp of 256-colour terminals: 16 + 36 r + 6 g + b with levels 0, 95, 135 .. 255, then 24
 * greys 8, 18 .. 238 (the common default; common practice, no source). */
static void rgb_of(unsigned code, double rgb[3])
{
    static const double LEVEL[] = {0, 95, 135, 175, 215, 255};
    if (code >= 232) {
        for (int i = 0; i < 3; i++) rgb[i] = (8.0 + 10.0 * (code - 232)) / 255.0;
        return;
    }
    rgb[0] = LEVEL[(code - 16) / 36] / 255.0;
    rgb[1] = LEVEL[(code - 16) / 6 % 6] / 255.0;
    rgb[2] = LEVEL[(code - 16) % 6] / 255.0;
}

static double linear(double v)
{
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4); /* IEC 61966-2-1 */
}

static double luminance(unsigned code)
{
    double rgb[3];
    rgb_of(code, rgb);
    return 0.2126 * linear(rgb[0]) + 0.7152 * linear(rgb[1]) + 0.0722 * linear(rgb[2]);
}

static double lightness(unsigned code) /* CIE 1976 L* */
{
    const double y = luminance(code);
    return y > 216.0 / 24389.0 ? 116.0 * cbrt(y) - 16.0 : y * 24389.0 / 27.0;
}

static void lightness_rises_with_every_step(void **state)
{
    (void)state;
    for (unsigned digit = 1; digit < ES_PALETTE_STEPS; digit++) {
        const double step = lightness(es_palette_behind(digit)) - lightness(es_palette_behind(digit - 1));
        assert_true(step > 5.0);
        assert_true(step < 16.0);
    }
}

static void digits_can_be_read_on_their_background(void **state)
{
    (void)state;
    for (unsigned digit = 0; digit < ES_PALETTE_STEPS; digit++) {
        const double a = luminance(es_palette_behind(digit)), b = luminance(es_palette_digit(digit));
        assert_true((fmax(a, b) + 0.05) / (fmin(a, b) + 0.05) > 4.0);
    }
}

static void black_and_white_are_never_set(void **state)
{
    (void)state;
    for (unsigned digit = 0; digit < ES_PALETTE_STEPS; digit++) {
        const unsigned code[] = {es_palette_behind(digit), es_palette_digit(digit)};
        for (int i = 0; i < 2; i++) {
            assert_true(code[i] >= 17); /* the first 16 are the user's own */
            assert_true(lightness(code[i]) > 5.0);
            assert_true(lightness(code[i]) < 98.0);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lightness_rises_with_every_step),
        cmocka_unit_test(digits_can_be_read_on_their_background),
        cmocka_unit_test(black_and_white_are_never_set),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
