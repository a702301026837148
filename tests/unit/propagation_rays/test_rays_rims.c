/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Past the rims of slabs: stairwells and flat roofs. */
#include "propagation/rays_fresnel.h"
#include "rays_case.h"

#include "base/units.h"

static es_rays_options in_space(void)
{
    es_rays_options options = all_paths(HZ_868);
    options.space = true;
    return options;
}

static const earshot_point HALF[] = {{4.0, -300.0}, {300.0, -300.0}, {300.0, 300.0}, {4.0, 300.0}};
static const earshot_point AROUND[] = {{-300.0, -300.0}, {300.0, -300.0}, {300.0, 300.0}, {-300.0, 300.0}};
static const earshot_point WELL[] = {{4.0, 1.0}, {4.0, 4.4}, {7.1, 4.4}, {7.1, 1.0}};
static const earshot_point *const WELLS[] = {WELL};
static const size_t CORNERS[] = {4};

static es_sheet half(size_t material)
{
    return (es_sheet){.outline = HALF, .n_outline = 4, .z_m = 2.6, .element = 3, .material = material};
}

static es_sheet stairs(size_t material)
{
    return (es_sheet){.outline = AROUND,
                      .n_outline = 4,
                      .hole = WELLS,
                      .n_hole = CORNERS,
                      .n_holes = 1,
                      .z_m = 2.6,
                      .element = 3,
                      .material = material};
}

/* The largest change over free space of all paths together, in 1 mm. A plane wave turns by k = 18.2 per metre. */
static double largest_step(const es_sheet *sheet, earshot_vec3 source, earshot_vec3 p, earshot_vec3 step, size_t n)
{
    rays_case c = case_new((es_rays_input){.sheet = sheet, .n_sheets = 1}, HZ_868, source, in_space());
    double largest = 0.0;
    double complex before = 0.0;
    for (size_t i = 0; i < n; i++) {
        case_at(&c, p, EARSHOT_ANTENNA_ISOTROPIC);
        double complex sum = 0.0;
        for (size_t j = 0; j < c.work->n_risen; j++) sum += c.work->risen[j].amplitude;
        sum *= sqrt(pow(p.x_m - source.x_m, 2.0) + pow(p.y_m - source.y_m, 2.0) + pow(p.z_m - source.z_m, 2.0));
        if (i) largest = fmax(largest, cabs(sum - before));
        before = sum;
        p = (earshot_vec3){p.x_m + step.x_m, p.y_m + step.y_m, p.z_m + step.z_m};
    }
    print_message("largest step %.4f of free space\n", largest);
    case_free(&c);
    return largest;
}

static const earshot_vec3 SOURCE = {1.7, 2.3, 1.1};

/* Into the shadow of a slab, and out of a stairwell's light; square to the rim and aslant. In the last walk a
 * point lies exactly behind the rim. Where a rim ends in a corner
 * there is a step: corners diffract nothing here. */
static void test_shadow(void **state)
{
    (void)state;
    const es_sheet brick = half(CONCRETE_200), metal = half(CONDUCTOR), well = stairs(CONCRETE_200);
    const earshot_vec3 x = {1e-3, 0.0, 0.0}, y = {0.0, 1e-3, 0.0}, up = {0.0, 0.0, 1e-3};
    assert_true(largest_step(&brick, SOURCE, (earshot_vec3){4.1, 2.3, 4.7}, x, 5000) < 0.02);
    assert_true(largest_step(&metal, SOURCE, (earshot_vec3){4.1, 2.3, 4.7}, x, 5000) < 0.02);
    assert_true(largest_step(&metal, SOURCE, (earshot_vec3){7.9, 4.1, 2.9}, up, 3500) < 0.02);
    assert_true(largest_step(&well, SOURCE, (earshot_vec3){8.1, 2.4, 3.3}, up, 2500) < 0.02);
    assert_true(largest_step(&well, SOURCE, (earshot_vec3){11.0, 6.9, 4.9}, y, 1300) < 0.02);
}

/* Where the reflection at the underside ends. */
static void test_reflection(void **state)
{
    (void)state;
    const es_sheet brick = half(CONCRETE_200), metal = half(CONDUCTOR);
    const earshot_vec3 p = {4.5, 3.1, 1.3}, x = {1e-3, 0.0, 0.0};
    assert_true(largest_step(&brick, SOURCE, p, x, 4000) < 0.04);
    assert_true(largest_step(&metal, SOURCE, p, x, 4000) < 0.04);
}

/* Square to the rim of a conducting sheet, E across it: the hard half plane, both terms added. */
static void test_hard_half_plane(void **state)
{
    (void)state;
    const es_sheet metal = half(CONDUCTOR);
    rays_case c = case_new((es_rays_input){.sheet = &metal, .n_sheets = 1}, HZ_868, SOURCE, in_space());
    case_at(&c, (earshot_vec3){8.9, 2.3, 4.1}, EARSHOT_ANTENNA_ISOTROPIC);
    const double s1 = hypot(2.3, 1.5), s2 = hypot(4.9, 1.5), k = 2.0 * ES_PI * HZ_868 / ES_LIGHT_M_S;
    const double phi_in = ES_PI + atan2(1.5, 2.3), phi_out = atan2(1.5, 4.9);
    double complex d = 0.0;
    for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
        const double cosine = cos((phi_out + sign * phi_in) / 2.0), l = s1 * s2 / (s1 + s2);
        d += es_rays_transition(c.rays->scene->fresnel, 2.0 * k * l * cosine * cosine) / cosine;
    }
    const double expected = cabs(d) / (2.0 * sqrt(2.0 * ES_PI * k) * sqrt(s1 * s2 * (s1 + s2)));
    assert_int_equal(c.work->n_risen, 1);
    check_close(20.0 * log10(cabs(c.work->risen[0].amplitude)), 20.0 * log10(expected), 0.01, "dB");
    assert_int_equal(c.work->risen[0].over_element, 3);
    case_free(&c);
}

/* A rim that a wall stands under is left to the wall. */
static void test_on_a_wall(void **state)
{
    (void)state;
    const es_sheet metal = half(CONDUCTOR);
    es_panel under = wall(4.1, -300.0, 4.1, 300.0, CONDUCTOR);
    under.z1_m = 2.6;
    const es_rays_input input = {.sheet = &metal, .n_sheets = 1, .panel = &under, .n_panels = 1};
    rays_case c = case_new(input, HZ_868, SOURCE, in_space());
    case_at(&c, (earshot_vec3){8.9, 2.3, 4.1}, EARSHOT_ANTENNA_ISOTROPIC);
    for (size_t i = 0; i < c.work->n_risen; i++) assert_int_not_equal(c.work->risen[i].over_element, 3);
    case_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_shadow),
        cmocka_unit_test(test_reflection),
        cmocka_unit_test(test_hard_half_plane),
        cmocka_unit_test(test_on_a_wall),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
