/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <gsl/gsl_sf_expint.h>

#include "survey/fade.h"

/* Rayleigh: 10 log10 of an exponential variable has mean -10 gamma / ln 10 and deviation 10 pi / (sqrt(6) ln 10). */
static void rayleigh_by_hand(void **state)
{
    (void)state;
    const es_fade fade = es_fade_of(0.0);
    check_close(fade.mean_db, -10.0 * 0.57721566490153286 / log(10.0), 1e-9, "dB");
    check_close(fade.sigma_db, 10.0 * 3.14159265358979324 / sqrt(6.0) / log(10.0), 1e-9, "dB");
}

/* E ln P = ln(K / (1 + K)) + E1(K) for a Rice signal of mean power 1 (from memory; the series is our own). */
static void mean_has_a_closed_form(void **state)
{
    (void)state;
    static const double k[] = {0.13, 0.97, 3.98, 11.3, 47.7};
    for (size_t i = 0; i < sizeof k / sizeof k[0]; i++)
        check_close(es_fade_of(k[i]).mean_db, 10.0 / log(10.0) * (log(k[i] / (1.0 + k[i])) + gsl_sf_expint_E1(k[i])),
                    1e-8, "dB");
}

/* Deviation against a sum over the distribution itself: P = ((1 + a)^2 + b^2) of a normal pair, on a grid. */
static double deviation_by_grid(double k)
{
    const double s = sqrt(0.5 / (1.0 + k)), line = sqrt(k / (1.0 + k)), step = 0.01;
    double weight = 0.0, sum = 0.0, squares = 0.0;
    for (double x = -8.0 + step / 2.0; x < 8.0; x += step)
        for (double y = -8.0 + step / 2.0; y < 8.0; y += step) {
            const double w = exp(-0.5 * (x * x + y * y)), a = line + s * x, b = s * y;
            const double db = 10.0 * log10(a * a + b * b);
            weight += w;
            sum += w * db;
            squares += w * db * db;
        }
    return sqrt(squares / weight - sum / weight * sum / weight);
}

static void deviation_agrees_with_the_distribution(void **state)
{
    (void)state;
    check_close(es_fade_of(0.0).sigma_db, deviation_by_grid(0.0), 0.01, "dB");
    check_close(es_fade_of(1.7).sigma_db, deviation_by_grid(1.7), 0.01, "dB");
    check_close(es_fade_of(9.3).sigma_db, deviation_by_grid(9.3), 0.01, "dB");
}

static void large_factors_join_on(void **state)
{
    (void)state;
    check_close(es_fade_of(60.0).mean_db, es_fade_of(60.001).mean_db, 0.001, "dB");
    check_close(es_fade_of(60.0).sigma_db, es_fade_of(60.001).sigma_db, 0.003, "dB");
    check_close(es_fade_of(1e6).sigma_db, 0.0, 0.01, "dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rayleigh_by_hand),
        cmocka_unit_test(mean_has_a_closed_form),
        cmocka_unit_test(deviation_agrees_with_the_distribution),
        cmocka_unit_test(large_factors_join_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
