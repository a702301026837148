/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The statistics of the survey against the outside world: regression against NIST's certified values, the Gaussian
 * process against a worked textbook case. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "survey/matrix.h"
#include "survey/posterior.h"
#include "survey/regress.h"

/* ---- NIST StRD, linear regression: nist/README.md ---- */

enum { MOST_ROWS = 100, MOST_PARAMETERS = 12, MOST_COLUMNS = 8 };

typedef struct nist {
    size_t n, p, columns; /* rows, parameters, predictors of the file */
    double y[MOST_ROWS], value[MOST_ROWS][MOST_COLUMNS];
    double x[MOST_ROWS * MOST_PARAMETERS];
    double certified[MOST_PARAMETERS], deviation[MOST_PARAMETERS], residual_deviation;
} nist;

/* Numbers of a line; their count. */
static size_t numbers(const char *line, double *out, size_t most)
{
    size_t n = 0;
    for (char *end; n < most; line = end) {
        out[n] = strtod(line, &end);
        if (end == line) break;
        n++;
    }
    return n;
}

static void read_certified(nist *d, const char *line)
{
    double number[3];
    const char *b = line + strspn(line, " ");
    if (*b == 'B' && numbers(b + 1, number, 3) == 3) {
        assert_int_equal((size_t)number[0], d->p);
        d->certified[d->p] = number[1];
        d->deviation[d->p++] = number[2];
    }
    const char *deviation = strstr(line, "Standard Deviation ");
    if (deviation && numbers(deviation + 19, number, 1) == 1) d->residual_deviation = number[0];
}

static void read_row(nist *d, const char *line)
{
    double number[MOST_COLUMNS];
    const size_t n = numbers(line, number, MOST_COLUMNS);
    if (n < 2) return;
    assert_true(d->n < MOST_ROWS);
    d->columns = n - 1;
    d->y[d->n] = number[0];
    memcpy(d->value[d->n++], number + 1, (n - 1) * sizeof *number);
}

/* One predictor and more parameters: a polynomial. */
static void fill_design(nist *d)
{
    for (size_t i = 0; i < d->n; i++)
        for (size_t j = 0; j < d->p; j++)
            d->x[i * d->p + j] = d->columns == 1 ? pow(d->value[i][0], (double)j) : j ? d->value[i][j - 1] : 1.0;
}

static void read_nist(const char *name, nist *d)
{
    char path[400], line[200];
    bool data = false;
    snprintf(path, sizeof path, "%s/tests/reference/nist/%s.dat", EARSHOT_SOURCE_DIR, name);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    *d = (nist){0};
    for (unsigned at = 1; fgets(line, sizeof line, file); at++) {
        if (data) read_row(d, line);
        if (at >= 30 && !data) read_certified(d, line);
        if (at >= 50 && strncmp(line, "Data:", 5) == 0) data = true;
    }
    fclose(file);
    assert_true(d->n > d->p && d->p >= 2 && d->residual_deviation > 0.0);
    fill_design(d);
}

/* Digits that agree: NIST's logarithm of the relative error. */
static double digits(double actual, double certified)
{
    const double off = fabs(actual - certified) / fabs(certified);
    return off > 0.0 ? fmin(15.0, -log10(off)) : 15.0;
}

static double check_nist(const char *name, double least_digits)
{
    static nist d;
    double mean[MOST_PARAMETERS], covariance[MOST_PARAMETERS * MOST_PARAMETERS];
    es_regression r = {.mean = mean, .covariance = covariance};
    read_nist(name, &d);
    assert_int_equal(es_regress(d.x, d.y, d.n, d.p, NULL, NULL, &r), EARSHOT_OK);
    assert_int_equal(r.rank, d.p);
    const double deviation = sqrt(r.rss / (double)(d.n - d.p));
    double worst = digits(deviation, d.residual_deviation), worst_error = 15.0;
    for (size_t j = 0; j < d.p; j++) {
        worst = fmin(worst, digits(mean[j], d.certified[j]));
        worst_error = fmin(worst_error, digits(deviation * sqrt(covariance[j * d.p + j]), d.deviation[j]));
    }
    print_message("  %-9s %zu rows, %zu parameters: %.1f digits of the estimates, %.1f of their deviations\n", name,
                  d.n, d.p, worst, worst_error);
    assert_true(worst >= least_digits && worst_error >= least_digits);
    return worst;
}

/* What the conditioning allows: the relative error of least squares in doubles is about 1e-16 (k + k^2 rho), k the
 * condition of the columns scaled to length 1, rho the residual over the fitted values (A. Bjorck, Numerical Methods
 * for Least Squares Problems, 1996, theorem 1.4.6; from memory), and as much again for each figure much smaller than
 * others of its set. k and rho: Norris 3 and 0.002, Pontius 18 and 0.0002, Longley 43,000 and 0.0035, Wampler4 2,200
 * and 0.17. */
static void nist_values_are_reproduced(void **state)
{
    (void)state;
    check_nist("Norris", 12.0);
    check_nist("Pontius", 11.0);
    check_nist("Longley", 9.0);
    check_nist("Wampler4", 6.0);
}

/* ---- a worked case of a Gaussian process ---- */

enum { SAMPLES = 7 };

/* E. H. Isaaks, R. M. Srivastava, An Introduction to Applied Geostatistics (1989), chapter 12, ordinary kriging of a
 * point from seven samples; covariance 10 exp(-0.3 h), no nugget. Samples and results from memory of the book; that all
 * ten figures agree with our arithmetic to the digits printed confirms the memory. */
static const double SAMPLE[SAMPLES][3] = {{61, 139, 477}, {63, 140, 696}, {64, 129, 227}, {68, 128, 646},
                                          {71, 140, 606}, {73, 141, 791}, {75, 128, 783}};
static const double POINT[2] = {65, 137};
static const double WEIGHT[SAMPLES] = {0.173, 0.318, 0.129, 0.086, 0.151, 0.057, 0.086};
static const double ESTIMATE = 592.7, VARIANCE = 8.96;

typedef struct textbook {
    es_observation row[SAMPLES];
    double x[SAMPLES];
    es_geometry *geometry;
    es_structure structure;
    es_posterior posterior;
} textbook;

static es_hyper textbook_hyper(void)
{
    return (es_hyper){.share = 1.0, .length_m = 1.0 / 0.3};
}

static void solve_textbook(textbook *t)
{
    const double flat = INFINITY;
    t->posterior = (es_posterior){.structure = &t->structure,
                                  .n = SAMPLES,
                                  .p = 1,
                                  .first_material = 1,
                                  .row = t->row,
                                  .hyper = textbook_hyper()};
    assert_int_equal(es_solve(t->row, t->x, SAMPLES, 1, NULL, &flat, textbook_hyper(), &t->posterior.solution),
                     EARSHOT_OK);
}

static void set_up_textbook(textbook *t)
{
    *t = (textbook){0};
    assert_int_equal(es_geometry_new(NULL, 0, NULL, 0, NULL, 0, &t->geometry), EARSHOT_OK);
    t->structure = (es_structure){.geometry = t->geometry};
    for (size_t i = 0; i < SAMPLES; i++) {
        t->row[i] = (es_observation){.link = {.near = {SAMPLE[i][0], SAMPLE[i][1], 0.0},
                                              .far = {1000.0, 1000.0, 0.0},
                                              .frequency_hz = 868.3e6,
                                              .sigma_db = sqrt(10.0)},
                                     .place = i,
                                     .y = SAMPLE[i][2]};
        t->x[i] = 1.0;
    }
}

static void view_point(const textbook *t, es_view *view)
{
    assert_int_equal(es_view_at(&t->posterior, 868.3e6, (earshot_vec3){POINT[0], POINT[1], 0.0},
                                (earshot_vec3){1000.0, 1000.0, 0.0}, sqrt(10.0), view),
                     EARSHOT_OK);
}

static double variance_of(const es_view *view)
{
    return view->left_sigma_db * view->left_sigma_db + view->material_sigma_db * view->material_sigma_db;
}

static void kriging_agrees_with_the_textbook(void **state)
{
    (void)state;
    textbook t;
    es_view view;
    set_up_textbook(&t);
    solve_textbook(&t);
    view_point(&t, &view);
    print_message("  kriging: estimate %.2f (%.1f), variance %.3f (%.2f)\n", view.mean_db, ESTIMATE, variance_of(&view),
                  VARIANCE);
    check_close(view.mean_db, ESTIMATE, 0.05, "");
    check_close(variance_of(&view), VARIANCE, 0.005, "");
    check_close(es_view_covariance(&t.posterior, &view, &view), variance_of(&view), 1e-9, "");
    es_view_clear(&view);
    es_solution_clear(&t.posterior.solution);
    es_geometry_free(t.geometry);
}

/* The weight of a sample is what the estimate gains when the sample gains 1. */
static void weights_agree_with_the_textbook(void **state)
{
    (void)state;
    textbook t;
    es_view view;
    set_up_textbook(&t);
    for (size_t i = 0; i < SAMPLES; i++) {
        for (size_t j = 0; j < SAMPLES; j++) t.row[j].y = i == j ? 1.0 : 0.0;
        solve_textbook(&t);
        view_point(&t, &view);
        check_close(view.mean_db, WEIGHT[i], 0.0005, "");
        es_view_clear(&view);
        es_solution_clear(&t.posterior.solution);
    }
    es_geometry_free(t.geometry);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nist_values_are_reproduced),
        cmocka_unit_test(kriging_agrees_with_the_textbook),
        cmocka_unit_test(weights_agree_with_the_textbook),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
