/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "propagation/rays_fresnel.h"
#include "rays_case.h"

#include <stdlib.h>

#include "base/units.h"

/* Integral of e^{-jt^2} from u to infinity, along t = u + e^{-j pi/4} v where it falls off: Simpson's rule. */
static double complex fresnel_tail(double u)
{
    const double complex ray = cexp(-I * 0.25 * ES_PI);
    const int steps = 4000;
    const double h = 8.0 / steps;
    double complex sum = 0.0;
    for (int i = 0; i <= steps; i++) {
        const double complex t = u + ray * (h * i);
        sum += (i == 0 || i == steps ? 1.0 : i % 2 ? 4.0 : 2.0) * cexp(-I * t * t);
    }
    return sum * ray * h / 3.0;
}

static void test_transition_function(void **state)
{
    (void)state;
    double complex *table = es_rays_fresnel_new();
    assert_non_null(table);
    check_field(es_rays_transition(table, 0.01), 0.12421, 0.10658, 1e-5);
    check_field(es_rays_transition(table, 0.1), 0.36810, 0.23445, 1e-5);
    check_field(es_rays_transition(table, 1.0), 0.80953, 0.23220, 1e-5);
    check_field(es_rays_transition(table, 10.0), 0.99304, 0.04835, 1e-5);
    for (double x = 0.0013; x < 200.0; x *= 1.37) {
        const double complex exact = 2.0 * I * sqrt(x) * cexp(I * x) * fresnel_tail(sqrt(x));
        check_close(cabs(es_rays_transition(table, x) - exact), 0.0, 3e-6, "of 1");
    }
    free(table);
}

/* Sommerfeld's field of a plane wave at a conducting half plane, E along the edge (A. Sommerfeld 1896, in the form of
 * Fresnel integrals): u = G(phi - phi') - G(phi + phi'), G(b) = e^{j pi/4} / sqrt(pi) e^{jk rho cos b}
 * Int_{-sqrt(2 k rho) cos(b/2)}^inf e^{-jt^2} dt. The incident wave is e^{jk rho cos(phi - phi')}. */
static double complex half(double k, double rho, double b)
{
    const double u = -sqrt(2.0 * k * rho) * cos(b / 2.0);
    const double complex whole = sqrt(ES_PI) * cexp(-I * 0.25 * ES_PI);
    const double complex tail = u >= 0.0 ? fresnel_tail(u) : whole - fresnel_tail(-u);
    return cexp(I * 0.25 * ES_PI) / sqrt(ES_PI) * cexp(I * k * rho * cos(b)) * tail;
}

static double complex sommerfeld(double k, double rho, double phi, double phi_source)
{
    return half(k, rho, phi - phi_source) - half(k, rho, phi + phi_source);
}

/* The source is so far away that its wave is plane; half plane y = 0, x >= 0. Amplitudes are compared, for the phase of
 * a way of 1,000 km is beyond a double. */
static void test_half_plane_is_sommerfelds(void **state)
{
    (void)state;
    const double far_m = 1e6, phi_source = 1.103, rho = 1.731;
    const es_panel half_plane = wall(0.0, 0.0, 1e5, 0.0, CONDUCTOR);
    const es_rays_input input = {.panel = &half_plane, .n_panels = 1};
    es_rays_options options = all_paths(HZ_868);
    options.field_floor = 0.0;
    rays_case c =
        case_new(input, HZ_868, (earshot_vec3){far_m * cos(phi_source), far_m * sin(phi_source), 0.0}, options);
    const double k = 2.0 * ES_PI * HZ_868 / ES_LIGHT_M_S;
    for (double phi = 0.05; phi < 2.0 * ES_PI - 0.02; phi += 0.0737) {
        case_at(&c, (earshot_vec3){rho * cos(phi), rho * sin(phi), 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
        const double exact = cabs(sommerfeld(k, rho, phi, phi_source));
        check_close(sqrt(c.result.at_point), exact, 2e-3, "of the incident field");
    }
    case_free(&c);
}

/* The same from the other side: swapping source and point changes nothing. */
static void test_wedge_and_sheet_are_reciprocal(void **state)
{
    (void)state;
    const earshot_point outline[] = {{4.0, 2.0}, {5.0, 2.0}, {5.0, 4.0}, {4.0, 4.0}};
    const es_prism box = {outline, 4, -1e3, 1e3, 1, CONDUCTOR};
    const es_panel sheet = wall(1.0, 6.0, 3.0, 6.5, BRICK_110);
    const es_rays_input input = {.panel = &sheet, .n_panels = 1, .prism = &box, .n_prisms = 1};
    es_rays_options options = all_paths(HZ_433);
    options.before = options.after = 0;
    options.edges = 1;
    const earshot_vec3 a = {2.13, 3.27, 0.0}, b = {6.41, 7.19, 0.0};
    rays_case there = case_new(input, HZ_433, a, options), back = case_new(input, HZ_433, b, options);
    case_at(&there, b, EARSHOT_ANTENNA_ISOTROPIC);
    case_at(&back, a, EARSHOT_ANTENNA_ISOTROPIC);
    assert_int_equal(there.result.n_paths, back.result.n_paths);
    check_close(cabs(total(&there) - total(&back)), 0.0, 1e-9, "of free space");
    case_free(&there);
    case_free(&back);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_transition_function),
        cmocka_unit_test(test_half_plane_is_sommerfelds),
        cmocka_unit_test(test_wedge_and_sheet_are_reciprocal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
