/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Diffraction of the rays model at conducting edges against exact solutions: the knife edge of ITU-R P.526 (Fresnel
 * integral, and the Recommendation's approximation J), and the field of a line source outside a wedge whose faces are
 * soft (E along the edge) as a series of cylinder functions, for a half plane (Sommerfeld's problem) and three wedges.
 */
#include "unit/propagation_rays/rays_case.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_sf_bessel.h>

#include "base/units.h"

/* ---- the knife edge ---- */

/* (1 + j) / 2 times the integral of e^{-j pi t^2 / 2} from nu to infinity, by Simpson's rule along t = nu + e^{-j pi/4}
 * v, where it falls off. */
static double complex fresnel_shadow(double nu)
{
    const double complex ray = cexp(-I * 0.25 * ES_PI);
    const int steps = 6000;
    const double h = 9.0 / steps;
    double complex sum = 0.0;
    for (int i = 0; i <= steps; i++) {
        const double complex t = nu + ray * (h * i);
        const double weight = i == 0 || i == steps ? 1.0 : i % 2 ? 4.0 : 2.0;
        sum += weight * cexp(-I * (0.5 * ES_PI) * t * t);
    }
    return 0.5 * (1.0 + I) * ray * (h / 3.0) * sum;
}

static double exact_loss_db(double nu)
{
    return -20.0 * log10(cabs(fresnel_shadow(nu)));
}

/* ITU-R P.526, single knife edge, for nu > -0.78. */
static double approximate_loss_db(double nu)
{
    const double x = nu - 0.1;
    return 6.9 + 20.0 * log10(sqrt(x * x + 1.0) + x);
}

/* Both ends far away, so that the edge is all there is: what the conductor's face adds falls with their distance. */
static const double END_M = 400e3;

static double model_loss_db(double nu, double frequency_hz)
{
    const double lambda_m = ES_LIGHT_M_S / frequency_hz, top_m = nu / sqrt(2.0 / lambda_m * (2.0 / END_M));
    const es_panel screen = wall(0.0, top_m, 0.0, -1e7, CONDUCTOR);
    es_rays_options options = all_paths(frequency_hz);
    options.field_floor = 0.0;
    rays_case c = case_new((es_rays_input){.panel = &screen, .n_panels = 1}, frequency_hz,
                           (earshot_vec3){-END_M, 0.0, 0.0}, options);
    case_at(&c, (earshot_vec3){END_M, 0.0, 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
    const double loss_db = -in_db(c.result.at_point);
    case_free(&c);
    return loss_db;
}

static void the_fresnel_integral_is_the_tabulated_one(void **state)
{
    (void)state;
    const double nu[] = {-0.78, 0.0, 1.0, 2.0, 3.0}, exact[] = {-0.01, 6.02, 13.86, 19.09, 22.52};
    const double approximate[] = {0.00, 6.03, 13.93, 19.04, 22.42};
    for (size_t i = 0; i < 5; i++) {
        check_close(exact_loss_db(nu[i]), exact[i], 0.00501, "dB");
        check_close(approximate_loss_db(nu[i]), approximate[i], 0.00501, "dB");
    }
}

/* 0.03 dB: the face's own part, and the last phase of a double after 800 km. */
static void a_knife_edge_loses_what_the_fresnel_integral_says(void **state)
{
    (void)state;
    for (double nu = -2.53; nu < 4.0; nu += 0.117) {
        check_close(model_loss_db(nu, HZ_433), exact_loss_db(nu), 0.03, "dB");
        check_close(model_loss_db(nu, HZ_868), exact_loss_db(nu), 0.03, "dB");
    }
}

/* The approximation is good to 0.1 dB up to nu = 3. */
static void a_knife_edge_loses_what_p526_says(void **state)
{
    (void)state;
    for (double nu = -0.78; nu < 3.0; nu += 0.117)
        check_close(model_loss_db(nu, HZ_868), approximate_loss_db(nu), 0.15, "dB");
}

/* ---- half plane and wedges ---- */

/* J(x) H(y) of order nu, H = J - jY; 0 when it is below what a double holds. */
static double complex cylinders(double nu, double x, double y)
{
    gsl_sf_result jx, jy, yy;
    if (gsl_sf_bessel_Jnu_e(nu, x, &jx) || gsl_sf_bessel_Jnu_e(nu, y, &jy) || gsl_sf_bessel_Ynu_e(nu, y, &yy))
        return 0.0;
    return jx.val * (jy.val - I * yy.val);
}

/* Field of a line source at (rho, phi_source) outside a wedge of exterior angle n pi with soft faces, over that of the
 * same source in free space far away: -(j / n) SUM_m J_{m/n}(k rho<) H_{m/n}(k rho>) sin(m phi / n) sin(m phi' / n)
 * (the separated solution, from the Wronskian of J and H; for n = 1 it is the image in a plane). The free field
 * -(j / 4) H_0(kR) tends to -j e^{-jkR} sqrt(j / (8 pi k R)). */
static double complex exact_field(double n, double k, double near_m, double far_m, double phi, double phi_source)
{
    double complex sum = 0.0;
    const int terms = (int)(n * (1.3 * k * near_m + 60.0));
    for (int m = 1; m <= terms; m++)
        sum += cylinders(m / n, k * near_m, k * far_m) * sin(m * phi / n) * sin(m * phi_source / n);
    return sum / n / csqrt(I / (8.0 * ES_PI * k));
}

typedef struct walk {
    double n; /* exterior angle / pi */
    double source_m, phi_source, point_m;
} walk;

/* Largest differences on a walk around the edge, whose exterior starts at angle 0: of the field, over the field that
 * goes around the edge unhindered; and of the level in the shadow. */
typedef struct differences {
    double field, shadow_db;
} differences;

static differences walk_around(es_rays_input input, double frequency_hz, walk w)
{
    es_rays_options options = all_paths(frequency_hz);
    options.field_floor = 0.0;
    const earshot_vec3 source = {w.source_m * cos(w.phi_source), w.source_m * sin(w.phi_source), 0.0};
    rays_case c = case_new(input, frequency_hz, source, options);
    const double k = 2.0 * ES_PI * frequency_hz / ES_LIGHT_M_S;
    differences largest = {0};
    for (double phi = 0.0311; phi < w.n * ES_PI - 0.02; phi += 0.0713) {
        case_at(&c, (earshot_vec3){w.point_m * cos(phi), w.point_m * sin(phi), 0.0}, EARSHOT_ANTENNA_ISOTROPIC);
        const double complex exact =
            exact_field(w.n, k, fmin(w.source_m, w.point_m), fmax(w.source_m, w.point_m), phi, w.phi_source);
        const double complex model = total(&c);
        largest.field = fmax(largest.field, cabs(model - exact) * sqrt(w.source_m + w.point_m));
        if (phi > w.phi_source + ES_PI)
            largest.shadow_db = fmax(largest.shadow_db, fabs(20.0 * log10(cabs(model) / cabs(exact))));
    }
    case_free(&c);
    return largest;
}

/* In the light most of the difference is not the edge's: a line source's own field differs by 1/(8kR) from the ray's, 1
 * % at 434 MHz on the shortest ways here. */
static void check_walk(const char *what, es_rays_input input, walk w)
{
    const differences low = walk_around(input, HZ_433, w), high = walk_around(input, HZ_868, w);
    print_message("%-12s source at %5.1f degrees: at 433.92 MHz off by %.4f of the field, %.2f dB in the shadow; at "
                  "868.30 MHz %.4f, %.2f dB\n",
                  what, w.phi_source * 180.0 / ES_PI, low.field, low.shadow_db, high.field, high.shadow_db);
    assert_true(low.field < 0.025 && low.shadow_db < 0.05);
    assert_true(high.field < 0.014 && high.shadow_db < 0.05);
}

/* So long that what their other ends send back is below what is tested. */
static const double LONG_M = 20e3;

static void half_plane_is_sommerfelds(void **state)
{
    (void)state;
    const es_panel half_plane = wall(0.0, 0.0, LONG_M, 0.0, CONDUCTOR);
    const es_rays_input input = {.panel = &half_plane, .n_panels = 1};
    check_walk("half plane", input, (walk){2.0, 5.31, 0.917, 3.13});
}

/* A block with one corner at the origin: the exterior starts along x and ends after n pi. */
static void check_wedge(const char *what, double n, double phi_source)
{
    const double end = n * ES_PI;
    const earshot_point outline[] = {
        {0.0, 0.0}, {LONG_M * cos(end), LONG_M * sin(end)}, {2.0 * LONG_M, -2.0 * LONG_M}, {LONG_M, 0.0}};
    const es_prism block = {outline, 4, -1e3, 1e3, 1, CONDUCTOR};
    check_walk(what, (es_rays_input){.prism = &block, .n_prisms = 1}, (walk){n, 5.31, phi_source, 3.13});
}

static void block_corners_are_exact_wedges(void **state)
{
    (void)state;
    check_wedge("90 degrees", 1.5, 0.917);
    check_wedge("90 degrees", 1.5, 2.183);
    check_wedge("90 degrees", 1.5, 0.113);
    check_wedge("60 degrees", 5.0 / 3.0, 0.917);
    check_wedge("120 degrees", 4.0 / 3.0, 1.117);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_fresnel_integral_is_the_tabulated_one),
        cmocka_unit_test(a_knife_edge_loses_what_the_fresnel_integral_says),
        cmocka_unit_test(a_knife_edge_loses_what_p526_says),
        cmocka_unit_test(half_plane_is_sommerfelds),
        cmocka_unit_test(block_corners_are_exact_wedges),
    };
    gsl_set_error_handler_off(); /* small orders underflow, and are told by their status */
    return cmocka_run_group_tests(tests, NULL, NULL);
}
