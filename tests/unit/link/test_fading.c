/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rice fading against the series of the noncentral chi-square distribution, and laws of its depth. */
#include "support/check.h"

#include <stdlib.h>

#include "earshot/link.h"

static const double CONFIDENCES[] = {0.5, 0.5437, 0.683, 0.9, 0.95, 0.9873, 0.999, 0.9999};
static const double KS[] = {1e-9, 0.037, 0.61, 1.0, 2.385, 3.981, 11.7, 48.3, 217.0, 1e3, 1.913e4, 1e6};
enum { N_CONFIDENCES = sizeof CONFIDENCES / sizeof CONFIDENCES[0], N_KS = sizeof KS / sizeof KS[0] };

static double poisson(double mean, size_t i)
{
    return exp((double)i * log(mean) - mean - lgamma((double)i + 1.0));
}

/* The slow, plain way: P(power < p) = sum over j of Poisson(j; K) times sum over i > j of Poisson(i; (1 + K) p). All
 * terms are positive. */
static double share_below(double k, double power)
{
    const double y = (1.0 + k) * power;
    const size_t n = (size_t)(fmax(k, y) + 12.0 * sqrt(fmax(k, y)) + 60.0);
    double *above = calloc(n + 2, sizeof *above);
    assert_non_null(above);
    for (size_t i = n; i > 0; i--) above[i] = above[i + 1] + poisson(y, i);
    double sum = 0.0;
    for (size_t j = 0; j < n; j++) sum += poisson(k, j) * above[j + 1];
    free(above);
    return sum;
}

static void test_share_below_the_depth_is_what_was_asked(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_KS; i++) {
        for (size_t j = 0; j < N_CONFIDENCES; j++) {
            const double depth_db = earshot_fading_depth_db(KS[i], CONFIDENCES[j]);
            assert_true(depth_db > 0.0);
            const double share = share_below(KS[i], pow(10.0, -depth_db / 10.0)), wanted = 1.0 - CONFIDENCES[j];
            /* lgamma of a million carries an error of 1e-9 in the exponent; the depth itself is far better */
            check_close(share / wanted, 1.0, KS[i] > 1e4 ? 2e-7 : 1e-9, "");
        }
    }
}

static void test_without_a_constant_path_it_is_rayleigh(void **state)
{
    (void)state;
    check_close(earshot_fading_depth_db(0.0, 0.95), 12.8994, 5e-5, "dB"); /* -10 log10(-ln 0.95) */
    check_close(earshot_fading_depth_db(0.0, 0.5), 1.5917, 5e-5, "dB");   /* -10 log10(ln 2) */
    for (size_t j = 0; j < N_CONFIDENCES; j++)
        check_close(earshot_fading_depth_db(1e-12, CONFIDENCES[j]), earshot_fading_depth_db(0.0, CONFIDENCES[j]), 1e-9,
                    "dB");
}

/* For large K the amplitude is Gaussian: a - z sqrt(1) below a = sqrt(2 K), z = 1.644854 at 95 %. */
static void test_a_constant_path_alone_does_not_fade(void **state)
{
    (void)state;
    check_close(earshot_fading_depth_db(1e6, 0.95), -20.0 * log10(1.0 - 1.644854 / sqrt(2e6)), 1e-4, "dB");
    assert_true(earshot_fading_depth_db(1e6, 0.9999) < 0.03);
    assert_true(earshot_fading_depth_db(1e6, 0.5) < 1e-5);
}

static void test_more_confidence_is_never_less_depth(void **state)
{
    (void)state;
    for (size_t i = 0; i < N_KS; i++) {
        double before_db = 0.0;
        for (double confidence = 0.5; confidence <= 0.9999; confidence += 0.00713) {
            const double depth_db = earshot_fading_depth_db(KS[i], confidence);
            assert_true(depth_db >= before_db);
            before_db = depth_db;
        }
    }
}

static void test_a_stronger_path_is_never_more_depth(void **state)
{
    (void)state;
    for (size_t j = 0; j < N_CONFIDENCES; j++) {
        double before_db = earshot_fading_depth_db(0.0, CONFIDENCES[j]);
        for (double k = 0.001; k <= 1e6; k *= 1.17) {
            const double depth_db = earshot_fading_depth_db(k, CONFIDENCES[j]);
            assert_true(depth_db <= before_db + 1e-12);
            before_db = depth_db;
        }
    }
}

static void test_out_of_range_is_not_a_number(void **state)
{
    (void)state;
    assert_true(isnan(earshot_fading_depth_db(-1e-9, 0.95)));
    assert_true(isnan(earshot_fading_depth_db(1.0001e6, 0.95)));
    assert_true(isnan(earshot_fading_depth_db((double)NAN, 0.95)));
    assert_true(isnan(earshot_fading_depth_db((double)INFINITY, 0.95)));
    assert_true(isnan(earshot_fading_depth_db(3.7, 0.4999)));
    assert_true(isnan(earshot_fading_depth_db(3.7, 0.99991)));
    assert_true(isnan(earshot_fading_depth_db(3.7, (double)NAN)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_share_below_the_depth_is_what_was_asked),
        cmocka_unit_test(test_without_a_constant_path_it_is_rayleigh),
        cmocka_unit_test(test_a_constant_path_alone_does_not_fade),
        cmocka_unit_test(test_more_confidence_is_never_less_depth),
        cmocka_unit_test(test_a_stronger_path_is_never_more_depth),
        cmocka_unit_test(test_out_of_range_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
