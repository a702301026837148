/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The closed forms of the Gaussian process against doing it by hand: leaving out, and the likelihood. */
#include "support/check.h"

#include <stdlib.h>

#include "survey/matrix.h"
#include "survey/robust.h"

enum { N = 7, P = 2 };

static const double PRIOR_SIGMA[P] = {3.1, 1.7};
static const es_hyper HYPER = {.share = 0.9, .length_m = 2.3};

typedef struct rows {
    es_observation row[N];
    double x[N * P];
} rows;

static rows some_rows(void)
{
    static const double at[N][2] = {{0.3, 1.1}, {2.7, 0.4}, {2.9, 3.3}, {5.1, 2.2}, {5.1, 2.2}, {5.1, 2.2}, {7.7, 0.9}};
    static const double y[N] = {-3.1, 2.7, 4.4, -1.2, -2.9, -0.7, 6.3}, wall[N] = {0, -1, -1, -2, -2, -2, -3};
    static const size_t place[N] = {0, 1, 2, 3, 3, 3, 4};
    rows r;
    for (size_t i = 0; i < N; i++) {
        r.row[i] = (es_observation){.link = {.near = {at[i][0], at[i][1], 1.0},
                                             .far = {4.0, 4.0, 2.0},
                                             .frequency_hz = i == 1 ? 433.92e6 : 868.3e6,
                                             .sigma_db = 3.0 + 0.5 * (double)place[i]},
                                    .place = place[i],
                                    .place_variance = 11.3,
                                    .variance = 3.7,
                                    .y = y[i]};
        r.x[i * P] = 1.0;
        r.x[i * P + 1] = wall[i];
    }
    return r;
}

/* What the rows without one place foretell of row i, by the definition of a conditional normal. */
static void by_hand(const rows *all, size_t i, double *residual, double *variance)
{
    rows some;
    size_t n = 0;
    for (size_t k = 0; k < N; k++) {
        if (all->row[k].place == all->row[i].place) continue;
        some.row[n] = all->row[k];
        for (size_t j = 0; j < P; j++) some.x[n * P + j] = all->x[k * P + j];
        n++;
    }
    /* Everything but row i in one covariance, walls included. */
    double s[N * N], cross[N], own = all->row[i].place_variance + all->row[i].variance;
    for (size_t a = 0; a < n; a++) {
        for (size_t b = 0; b < n; b++) {
            s[a * n + b] = es_residual_covariance(&some.row[a].link, &some.row[b].link, HYPER);
            if (some.row[a].place == some.row[b].place) s[a * n + b] += some.row[a].place_variance;
            if (a == b) s[a * n + b] += some.row[a].variance;
            for (size_t j = 0; j < P; j++)
                s[a * n + b] += some.x[a * P + j] * some.x[b * P + j] * PRIOR_SIGMA[j] * PRIOR_SIGMA[j];
        }
        cross[a] = es_residual_covariance(&some.row[a].link, &all->row[i].link, HYPER);
        for (size_t j = 0; j < P; j++)
            cross[a] += some.x[a * P + j] * all->x[i * P + j] * PRIOR_SIGMA[j] * PRIOR_SIGMA[j];
    }
    own += es_residual_covariance(&all->row[i].link, &all->row[i].link, HYPER);
    for (size_t j = 0; j < P; j++) own += all->x[i * P + j] * all->x[i * P + j] * PRIOR_SIGMA[j] * PRIOR_SIGMA[j];
    double weight[N];
    for (size_t a = 0; a < n; a++) weight[a] = cross[a];
    assert_true(es_cholesky(s, n));
    es_solve_lower(s, n, weight);
    es_solve_upper(s, n, weight);
    double foretold = 0.0;
    for (size_t a = 0; a < n; a++) foretold += weight[a] * some.row[a].y;
    *residual = all->row[i].y - foretold;
    *variance = own - es_dot(weight, cross, n);
}

static void left_out_as_if_it_had_never_been(void **state)
{
    (void)state;
    const rows r = some_rows();
    es_solution s;
    es_left_out left[N];
    double sound[N];
    for (size_t i = 0; i < N; i++) sound[i] = r.row[i].place_variance;
    assert_int_equal(es_solve(r.row, r.x, N, P, NULL, PRIOR_SIGMA, HYPER, &s), EARSHOT_OK);
    assert_int_equal(es_leave_out(&s, r.row, sound, left), EARSHOT_OK);
    for (size_t i = 0; i < N; i++) {
        double residual, variance;
        by_hand(&r, i, &residual, &variance);
        check_close(left[i].residual_db, residual, 1e-9, "dB");
        check_close(left[i].sigma_db, sqrt(variance), 1e-9, "dB");
    }
    es_solution_clear(&s);
}

/* log N(y; 0, S) with the walls in S, up to what does not depend on the data or the hyper-parameters. */
static double likelihood_by_hand(const rows *r, es_hyper hyper)
{
    double s[N * N], y[N];
    for (size_t a = 0; a < N; a++) {
        y[a] = r->row[a].y;
        for (size_t b = 0; b < N; b++) {
            s[a * N + b] = es_residual_covariance(&r->row[a].link, &r->row[b].link, hyper);
            if (r->row[a].place == r->row[b].place) s[a * N + b] += r->row[a].place_variance;
            if (a == b) s[a * N + b] += r->row[a].variance;
            for (size_t j = 0; j < P; j++)
                s[a * N + b] += r->x[a * P + j] * r->x[b * P + j] * PRIOR_SIGMA[j] * PRIOR_SIGMA[j];
        }
    }
    assert_true(es_cholesky(s, N));
    es_solve_lower(s, N, y);
    return -0.5 * es_dot(y, y, N) - es_cholesky_log(s, N);
}

static void likelihoods_differ_as_by_hand(void **state)
{
    (void)state;
    const rows r = some_rows();
    const es_hyper a = HYPER, b = {.share = 1.6, .length_m = 0.7};
    double at_a, at_b;
    assert_int_equal(es_log_likelihood(r.row, r.x, N, P, NULL, PRIOR_SIGMA, a, &at_a), EARSHOT_OK);
    assert_int_equal(es_log_likelihood(r.row, r.x, N, P, NULL, PRIOR_SIGMA, b, &at_b), EARSHOT_OK);
    check_close(at_a - at_b, likelihood_by_hand(&r, a) - likelihood_by_hand(&r, b), 1e-9, "");
}

/* 0.9 * 0.9 * 3 * 4 exp(-(3 + 4) / 2.3) for ends 3 m and 4 m apart; half of it between bands; the same swapped. */
static void covariance_by_hand(void **state)
{
    (void)state;
    const es_link_point a = {{1.0, 2.0, 1.0}, {8.0, 2.0, 1.0}, 868.3e6, 3.0};
    es_link_point b = {{1.0, 5.0, 1.0}, {8.0, 2.0, 5.0}, 868.3e6, 4.0};
    const double expected = 0.81 * 12.0 * exp(-7.0 / 2.3);
    check_close(es_residual_covariance(&a, &b, HYPER), expected, 1e-12, "dB2");
    check_close(es_residual_covariance(&b, &a, HYPER), expected, 1e-12, "dB2");
    b.frequency_hz = 433.92e6;
    check_close(es_residual_covariance(&a, &b, HYPER), expected / 2.0, 1e-12, "dB2");
}

static void trust_falls_with_the_residual(void **state)
{
    (void)state;
    double before = 1.0;
    for (double residual = 0.0; residual < 60.0; residual += 1.7) {
        const double trust = es_trust(residual, 4.3);
        check_close(es_trust(-residual, 4.3), trust, 0.0, "");
        assert_true(trust <= before && trust >= 0.0);
        before = trust;
    }
    assert_true(es_trust(0.0, 4.3) > 0.98);
    assert_true(es_trust(30.0, 4.3) < 1e-6);
    check_close(es_distrusted(7.0, 1.0), 7.0, 1e-12, "dB2");
    check_close(es_distrusted(7.0, 0.0), 407.0, 1e-9, "dB2");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(left_out_as_if_it_had_never_been),
        cmocka_unit_test(likelihoods_differ_as_by_hand),
        cmocka_unit_test(covariance_by_hand),
        cmocka_unit_test(trust_falls_with_the_residual),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
