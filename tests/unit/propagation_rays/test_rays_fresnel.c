/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The transition function of two edges in a row, and the field of two screens that it must add up to. */
#include "propagation/rays_fresnel.h"
#include "rays_case.h"

#include <stdlib.h>

/* Q by its definition (rays_fresnel.h), both ways turned by 45 degrees, by the midpoint rule. */
static double complex by_definition(double a, double b, double w)
{
    const double step = 4e-3, end = 4.0 / sqrt(1.0 - fabs(w));
    const double complex turn = cexp(I * 0.25 * acos(-1.0));
    double complex sum = 0.0;
    for (double t = step / 2.0; t < end; t += step)
        for (double s = step / 2.0; s < end; s += step)
            sum += cexp(-t * t - s * s + 2.0 * w * t * s - 2.0 * turn * (a * t + b * s));
    return -4.0 * a * b * (-I) * sum * step * step;
}

static double complex pair(const double complex *table, double a, double b, double w)
{
    return es_rays_pair_transition(table, es_rays_detour(table, a), es_rays_detour(table, b), w);
}

static void it_is_the_integral_over_two_screens(void **state)
{
    (void)state;
    double complex *table = es_rays_fresnel_new();
    assert_non_null(table);
    const struct {
        double a, b, w;
    } at[] = {{0.31, 0.47, 0.62}, {0.31, 0.47, -0.62}, {1.7, 0.21, 0.55},  {1.7, 0.21, -0.55},
              {2.3, 1.9, 0.37},   {2.3, 2.6, -0.71},   {0.05, 0.07, 0.83}, {4.1, 0.9, 0.66}};
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        const double complex want = by_definition(at[i].a, at[i].b, at[i].w);
        const double complex have = pair(table, at[i].a, at[i].b, at[i].w);
        check_close(cabs(have - want), 0.0, 0.011, "");
    }
    free(table);
}

static void without_coupling_it_is_the_product_of_two(void **state)
{
    (void)state;
    double complex *table = es_rays_fresnel_new();
    assert_non_null(table);
    for (double a = 0.013; a < 9.0; a *= 1.7) {
        const double complex two = es_rays_transition(table, a * a) * es_rays_transition(table, 1.31 * 1.31);
        check_close(cabs(pair(table, a, 1.31, 0.0) - two), 0.0, 1e-12, "");
        check_close(cabs(pair(table, a, 1.31, 1e-9) - two), 0.0, 2e-4, "");
    }
    free(table);
}

/* Either way round: the ends may be swapped. */
static void it_is_symmetric(void **state)
{
    (void)state;
    double complex *table = es_rays_fresnel_new();
    assert_non_null(table);
    for (double w = -0.93; w < 0.95; w += 0.31) {
        const double complex there = pair(table, 0.43, 1.27, w);
        check_close(cabs(there - pair(table, 1.27, 0.43, w)), 0.0, 2e-3, "");
    }
    free(table);
}

/* Two screens in a row in the paraxial limit: what passes above both of them at 0 is 1/2 + asin(w) / pi of half of free
 * space for two from the same side (a = b = 0; the quadrant of a correlated pair, W. F. Sheppard 1899, from memory). */
static void at_both_boundaries_it_is_the_quadrant(void **state)
{
    (void)state;
    double complex *table = es_rays_fresnel_new();
    assert_non_null(table);
    const double a = 1e-5, pi = acos(-1.0);
    for (double w = -0.8; w < 0.9; w += 0.4) {
        /* Q there over that of the whole plane, -j pi / sqrt(1 - w^2). */
        const double complex q = pair(table, a, a, w) / (-4.0 * a * a);
        const double complex share = q / (-I * pi / sqrt(1.0 - w * w));
        check_close(creal(share), 0.25 + asin(w) / (2.0 * pi), 1e-4, "of the plane");
        check_close(cimag(share), 0.0, 1e-4, "of the plane");
    }
    free(table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_the_integral_over_two_screens),
        cmocka_unit_test(without_coupling_it_is_the_product_of_two),
        cmocka_unit_test(it_is_symmetric),
        cmocka_unit_test(at_both_boundaries_it_is_the_quadrant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
