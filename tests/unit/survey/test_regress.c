/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "survey/matrix.h"
#include "survey/regress.h"

/* One parameter: the posterior of a normal mean is the precision-weighted mean of prior and data. */
static void a_normal_mean_by_hand(void **state)
{
    (void)state;
    const double x[] = {1.0 / 2.3, 1.0 / 2.3, 1.0 / 2.3}, y[] = {7.1 / 2.3, 9.4 / 2.3, 8.3 / 2.3};
    const double prior_mean = 4.7, prior_sigma = 1.9;
    double mean, variance;
    es_regression r = {.mean = &mean, .covariance = &variance};
    assert_int_equal(es_regress(x, y, 3, 1, &prior_mean, &prior_sigma, &r), EARSHOT_OK);
    const double data = 3.0 / (2.3 * 2.3), prior = 1.0 / (1.9 * 1.9);
    check_close(variance, 1.0 / (data + prior), 1e-12, "");
    check_close(mean, (data * (7.1 + 9.4 + 8.3) / 3.0 + prior * 4.7) / (data + prior), 1e-12, "");
    check_close(r.log_r, 0.5 * log(data + prior), 1e-12, "");
}

static void without_data_the_prior_stays(void **state)
{
    (void)state;
    const double prior_mean[] = {1.3, -2.7}, prior_sigma[] = {0.7, 4.1};
    double mean[2], covariance[4];
    es_regression r = {.mean = mean, .covariance = covariance};
    assert_int_equal(es_regress(NULL, NULL, 0, 2, prior_mean, prior_sigma, &r), EARSHOT_OK);
    for (size_t i = 0; i < 2; i++) {
        check_close(mean[i], prior_mean[i], 1e-12, "");
        check_close(covariance[3 * i], prior_sigma[i] * prior_sigma[i], 1e-12, "");
    }
    check_close(covariance[1], 0.0, 1e-12, "");
    check_close(r.rss, 0.0, 1e-12, "");
}

/* Two equal columns, nothing else known: the sum is found, the difference is not, and both are treated alike. */
static void equal_columns_are_not_split_at_random(void **state)
{
    (void)state;
    const double x[] = {1.0, 1.0, 2.0, 2.0, 3.0, 3.0}, y[] = {7.3, 14.6, 21.9};
    double mean[2], covariance[4];
    es_regression r = {.mean = mean, .covariance = covariance};
    assert_int_equal(es_regress(x, y, 3, 2, NULL, NULL, &r), EARSHOT_OK);
    assert_int_equal(r.rank, 1);
    check_close(mean[0] + mean[1], 7.3, 1e-4, "");
    check_close(mean[0], mean[1], 1e-4, "");
    assert_true(covariance[0] > 1e4 && covariance[3] > 1e4);
    check_close((covariance[0] + covariance[3] + 2.0 * covariance[1]) * 14.0, 1.0, 0.01, "");
}

/* With priors they are split by what the priors allow. */
static void priors_split_equal_columns(void **state)
{
    (void)state;
    const double x[] = {10.0, 10.0}, y[] = {60.0}, sigma[] = {1.0, 2.0};
    double mean[2], covariance[4];
    es_regression r = {.mean = mean, .covariance = covariance};
    assert_int_equal(es_regress(x, y, 1, 2, NULL, sigma, &r), EARSHOT_OK);
    check_close(mean[1] / mean[0], 4.0, 1e-9, "");
    check_close(mean[0] + mean[1], 6.0, 0.02, "");
}

/* Rows of any size: the result does not depend on the unit of a column. */
static void scale_does_not_matter(void **state)
{
    (void)state;
    const double x[] = {1.0, 3.1, 1.0, 4.7, 1.0, 9.2, 1.0, 11.7}, y[] = {2.2, 3.9, 4.1, 8.8};
    double scaled[8], mean[2], covariance[4], mean2[2], covariance2[4];
    for (size_t i = 0; i < 4; i++) {
        scaled[2 * i] = x[2 * i] * 1e9;
        scaled[2 * i + 1] = x[2 * i + 1] * 1e-7;
    }
    es_regression r = {.mean = mean, .covariance = covariance}, s = {.mean = mean2, .covariance = covariance2};
    assert_int_equal(es_regress(x, y, 4, 2, NULL, NULL, &r), EARSHOT_OK);
    assert_int_equal(es_regress(scaled, y, 4, 2, NULL, NULL, &s), EARSHOT_OK);
    assert_int_equal(s.rank, 2);
    check_close(mean2[0] * 1e9, mean[0], 1e-12, "");
    check_close(mean2[1] * 1e-7, mean[1], 1e-12, "");
    check_close(covariance2[1] * 100.0, covariance[1], 1e-12, "");
    check_close(s.rss, r.rss, 1e-12, "");
}

static void cholesky_of_a_small_matrix(void **state)
{
    (void)state;
    const double a[] = {4.2, 1.3, -0.7, 1.3, 3.1, 0.9, -0.7, 0.9, 2.6};
    double l[9], inverse[9], work[3];
    for (size_t i = 0; i < 9; i++) l[i] = a[i];
    assert_true(es_cholesky(l, 3));
    es_cholesky_inverse(l, 3, inverse, work);
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 0; j < 3; j++) {
            double product = 0.0;
            for (size_t k = 0; k < 3; k++) product += a[i * 3 + k] * inverse[k * 3 + j];
            check_close(product, i == j ? 1.0 : 0.0, 1e-13, "");
        }
    const double determinant =
        4.2 * (3.1 * 2.6 - 0.9 * 0.9) - 1.3 * (1.3 * 2.6 + 0.9 * 0.7) - 0.7 * (1.3 * 0.9 + 3.1 * 0.7);
    check_close(2.0 * es_cholesky_log(l, 3), log(determinant), 1e-13, "");
}

static void what_is_not_positive_definite_is_refused(void **state)
{
    (void)state;
    double indefinite[] = {1.0, 2.0, 2.0, 1.0}, nan[] = {NAN, 0.0, 0.0, 1.0};
    assert_false(es_cholesky(indefinite, 2));
    assert_false(es_cholesky(nan, 2));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_normal_mean_by_hand),
        cmocka_unit_test(without_data_the_prior_stays),
        cmocka_unit_test(equal_columns_are_not_split_at_random),
        cmocka_unit_test(priors_split_equal_columns),
        cmocka_unit_test(scale_does_not_matter),
        cmocka_unit_test(cholesky_of_a_small_matrix),
        cmocka_unit_test(what_is_not_positive_definite_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
