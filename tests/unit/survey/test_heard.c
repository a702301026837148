/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "survey/heard.h"

static double log_likelihood(bool heard, double level, double bound, double sigma)
{
    const double z = (heard ? 1.0 : -1.0) * (level - bound) / sigma;
    return log(0.5 * erfc(-z / sqrt(2.0)));
}

/* The stand-in reading has the slope and the curvature of the likelihood where it touches it. */
static void touches_the_likelihood(void **state)
{
    (void)state;
    const double bound = -97.3, sigma = 2.7, step = 1e-3;
    for (int heard = 0; heard < 2; heard++) {
        for (double level = -109.0; level < -86.0; level += 2.3) {
            const es_bound b = es_heard_bound(heard, level, bound, sigma);
            const double low = log_likelihood(heard, level - step, bound, sigma);
            const double here = log_likelihood(heard, level, bound, sigma);
            const double high = log_likelihood(heard, level + step, bound, sigma);
            check_close((b.y_dbm - level) / b.variance, (high - low) / (2.0 * step), 1e-5, "1/dB");
            check_close(1.0 / b.variance, -(high - 2.0 * here + low) / (step * step), 1e-5, "1/dB2");
        }
    }
}

/* Heard with plenty in hand says nothing; not heard where it should be loud says a lot. */
static void far_away(void **state)
{
    (void)state;
    const es_bound agrees = es_heard_bound(true, -40.0, -100.0, 2.0),
                   denies = es_heard_bound(false, -40.0, -100.0, 2.0);
    assert_true(agrees.variance >= 1e8 && isfinite(agrees.y_dbm));
    check_close(denies.y_dbm, -100.0, 0.5, "dBm");
    check_close(denies.variance, 4.0, 0.1, "dB2");
    const es_bound extreme = es_heard_bound(true, -1000.0, 0.0, 0.5);
    assert_true(isfinite(extreme.y_dbm) && extreme.variance > 0.0);
}

static void the_two_forms_of_the_tail_join(void **state)
{
    (void)state;
    const es_bound a = es_heard_bound(true, -5.999999, 0.0, 1.0), b = es_heard_bound(true, -6.000001, 0.0, 1.0);
    check_close(a.y_dbm, b.y_dbm, 1e-5, "dBm");
    check_close(a.variance, b.variance, 1e-5, "dB2");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(touches_the_likelihood),
        cmocka_unit_test(far_away),
        cmocka_unit_test(the_two_forms_of_the_tail_join),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
