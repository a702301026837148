/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Over the top of conducting blocks in the open. */
#include "rays_case.h"

#include <stdlib.h>

#include "base/units.h"

static es_rays_options in_space(void)
{
    es_rays_options options = all_paths(HZ_868);
    options.space = true;
    options.edges = 1;
    options.before = options.after = 0;
    return options;
}

/* A box across the x axis, so wide that nothing comes round its sides, and so deep that nothing comes under it. */
static const earshot_point THIN[] = {{5.0, -400.0}, {5.06, -400.0}, {5.06, 400.0}, {5.0, 400.0}};
static const earshot_point THICK[] = {{5.0, -400.0}, {7.3, -400.0}, {7.3, 400.0}, {5.0, 400.0}};
static const double TOP_M = 2.1;

static es_prism block_of(const earshot_point *outline)
{
    return (es_prism){outline, 4, -1e3, TOP_M, 1, CONDUCTOR};
}

static double gain_db(rays_case *c, earshot_vec3 p)
{
    case_at(c, p, EARSHOT_ANTENNA_ISOTROPIC);
    return in_db(c->result.at_point);
}

/* ITU-R P.526-15, equations (26) and (31): v from the height over the line, J(v) its approximation for v > -0.78. */
static double knife_edge_db(double h, double d1, double d2)
{
    const double wavelength_m = ES_LIGHT_M_S / HZ_868;
    const double v = h * sqrt(2.0 / wavelength_m * (1.0 / d1 + 1.0 / d2));
    return -(6.9 + 20.0 * log10(sqrt((v - 0.1) * (v - 0.1) + 1.0) + v - 0.1));
}

static void test_thin_block_is_a_knife_edge(void **state)
{
    (void)state;
    const es_prism block = block_of(THIN);
    const earshot_vec3 source = {-4.93, 2.3, 1.7};
    rays_case c = case_new((es_rays_input){.prism = &block, .n_prisms = 1}, HZ_868, source, in_space());
    for (double z = 0.37; z < 2.9; z += 0.41) {
        const earshot_vec3 p = {13.4, 2.3, z};
        const double d1 = 9.96, d2 = 8.37, line_z = source.z_m + (z - source.z_m) * d1 / (d1 + d2);
        check_close(gain_db(&c, p), knife_edge_db(TOP_M - line_z, d1, d2), 1.5, "dB");
    }
    case_free(&c);
}

/* ---- thick: diffraction at both edges ---- */

static double cot(double x)
{
    return cos(x) / sin(x);
}

/* Keller's coefficient of a right-angled conducting edge, hard, from the face that the wave runs along: both terms of
 * Kouyoumjian and Pathak (25) are equal there. */
static double along_face(double angle_rad)
{
    const double n = 1.5, k = 2.0 * ES_PI * HZ_868 / ES_LIGHT_M_S;
    const double sum = cot((ES_PI + angle_rad) / (2.0 * n)) + cot((ES_PI - angle_rad) / (2.0 * n));
    return fabs(2.0 * sum / (2.0 * n * sqrt(2.0 * ES_PI * k)));
}

/* Far from the shadow boundaries, where no transition function is wanted: half of the first coefficient goes on along
 * the top, the mirrored wave being the other half. */
static double both_edges_db(double a, double width_m, double c, double angle_in, double angle_out)
{
    const double field = 0.5 * along_face(angle_in) * along_face(angle_out) / sqrt(a * width_m * c * (a + width_m + c));
    return 20.0 * log10(field);
}

static void test_thick_block_has_two_edges(void **state)
{
    (void)state;
    const es_prism block = block_of(THICK);
    const earshot_vec3 source = {1.9, 2.3, 0.4};
    rays_case c = case_new((es_rays_input){.prism = &block, .n_prisms = 1}, HZ_868, source, in_space());
    for (double z = -0.9; z < 0.8; z += 0.47) {
        const earshot_vec3 p = {10.2, 2.3, z};
        const double a = hypot(3.1, 1.7), out = hypot(2.9, TOP_M - z);
        const double angle_in = ES_PI + atan2(1.7, 3.1), angle_out = ES_PI + atan2(TOP_M - z, 2.9);
        const double straight_m = hypot(8.3, z - 0.4);
        check_close(gain_db(&c, p), both_edges_db(a, 2.3, out, angle_in, angle_out) + 20.0 * log10(straight_m), 1.5,
                    "dB");
    }
    case_free(&c);
}

/* ---- walks ---- */

static double complex field_at(rays_case *c, earshot_vec3 p)
{
    case_at(c, p, EARSHOT_ANTENNA_ISOTROPIC);
    double complex sum = 0.0;
    for (size_t i = 0; i < c->work->n_risen; i++) sum += c->work->risen[i].amplitude;
    return sum *
           sqrt(pow(p.x_m - c->source.x_m, 2.0) + pow(p.y_m - c->source.y_m, 2.0) + pow(p.z_m - c->source.z_m, 2.0));
}

/* The largest change over free space in 1 mm while the point rises. A plane wave turns by k = 18.2 per metre. */
static void check_rise(es_rays_input input, earshot_vec3 source, double y, double low, double high)
{
    es_rays_options options = in_space();
    options.floors = 0;
    rays_case c = case_new(input, HZ_868, source, options);
    double largest = 0.0;
    double complex before = field_at(&c, (earshot_vec3){9.7, y, low});
    for (double z = low + 1e-3; z < high; z += 1e-3) {
        const double complex now = field_at(&c, (earshot_vec3){9.7, y, z});
        largest = fmax(largest, cabs(now - before));
        before = now;
    }
    print_message("largest step %.4f of free space\n", largest);
    assert_true(largest < 0.0182);
    case_free(&c);
}

static void test_rising_out_of_the_shadow(void **state)
{
    (void)state;
    const earshot_point slant[] = {{4.7, -40.0}, {6.9, -41.0}, {7.4, 41.0}, {5.3, 40.0}};
    const es_prism thin = block_of(THIN), thick = block_of(THICK), turned = block_of(slant);
    const earshot_vec3 low = {1.7, 2.3, 1.1}, high = {1.7, 2.3, 2.9}, level = {1.7, 2.3, 2.1};
    check_rise((es_rays_input){.prism = &thin, .n_prisms = 1}, low, 4.1, -0.7, 4.9);
    check_rise((es_rays_input){.prism = &thick, .n_prisms = 1}, low, 4.1, -0.7, 4.9);
    check_rise((es_rays_input){.prism = &thick, .n_prisms = 1}, high, 4.1, -0.7, 4.9);
    check_rise((es_rays_input){.prism = &thick, .n_prisms = 1}, level, 4.1, -0.7, 4.9);
    check_rise((es_rays_input){.prism = &turned, .n_prisms = 1}, high, 4.1, -0.7, 4.9);
}

/* The string is pulled over both blocks, and the same whichever stands first. */
static void test_two_blocks_in_a_row(void **state)
{
    (void)state;
    const earshot_point one[] = {{4.0, -40.0}, {4.6, -40.0}, {4.6, 40.0}, {4.0, 40.0}};
    const earshot_point two[] = {{6.5, -40.0}, {7.2, -40.0}, {7.2, 40.0}, {6.5, 40.0}};
    const es_prism both[] = {{one, 4, -1e3, 2.1, 1, CONDUCTOR}, {two, 4, -1e3, 2.3, 2, CONDUCTOR}};
    const es_prism swapped[] = {both[1], both[0]};
    const es_rays_input input = {.prism = both, .n_prisms = 2}, other = {.prism = swapped, .n_prisms = 2};
    const earshot_vec3 source = {1.7, 2.3, 1.1}, p = {9.7, 4.1, 1.3};
    rays_case c = case_new(input, HZ_868, source, in_space()), d = case_new(other, HZ_868, source, in_space());
    assert_in_range((int)-gain_db(&c, p), 9, 25);
    check_close(gain_db(&d, p), c.result.at_point > 0.0 ? in_db(c.result.at_point) : -999.0, 1e-9, "dB");
    case_free(&c);
    case_free(&d);
    check_rise(input, source, 4.1, -0.7, 5.9);
}

/* A tank in a meadow: what comes over it counts beside what comes round it. */
static void test_low_tank_in_the_open(void **state)
{
    (void)state;
    const es_layer soil = {.a = 15.0, .b = -0.1, .c = 0.035, .d = 1.63};
    const earshot_point outline[] = {{20.0, -6.0}, {22.0, -6.0}, {22.0, 6.0}, {20.0, 6.0}};
    const es_prism tank = {outline, 4, 0.0, 1.6, 1, CONDUCTOR};
    const es_rays_input open = {.ground = &soil}, input = {.prism = &tank, .n_prisms = 1, .ground = &soil};
    const earshot_vec3 source = {0.37, 0.43, 1.2}, p = {46.1, 0.81, 1.1};
    rays_case bare = case_new(open, HZ_868, source, in_space()), c = case_new(input, HZ_868, source, in_space());
    es_rays_options options = in_space();
    options.over = false;
    options.edges = 2;
    rays_case round = case_new(input, HZ_868, source, options);
    const double loss_db = gain_db(&bare, p) - gain_db(&c, p);
    print_message("loss %.1f dB, without its top %.1f dB\n", loss_db, gain_db(&bare, p) - gain_db(&round, p));
    assert_true(loss_db > 3.0 && loss_db < 15.0);
    case_free(&bare);
    case_free(&c);
    case_free(&round);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_thin_block_is_a_knife_edge), cmocka_unit_test(test_thick_block_has_two_edges),
        cmocka_unit_test(test_rising_out_of_the_shadow),   cmocka_unit_test(test_two_blocks_in_a_row),
        cmocka_unit_test(test_low_tank_in_the_open),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
