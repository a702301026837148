/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "propagation/rays_fresnel.h"
#include "rays_case.h"

#include <stdlib.h>

#include "base/units.h"
#include "propagation/slab.h"

static es_rays_options in_space(double frequency_hz)
{
    es_rays_options options = all_paths(frequency_hz);
    options.space = true;
    return options;
}

static const earshot_vec3 SOURCE = {1.37, 2.11, 1.23};

static void test_free_space_and_patterns(void **state)
{
    (void)state;
    rays_case c = case_new((es_rays_input){0}, HZ_868, SOURCE, in_space(HZ_868));
    const earshot_vec3 p = {5.37, 2.11, 4.23}; /* 4 m along x, 3 m up */
    case_at(&c, p, EARSHOT_ANTENNA_ISOTROPIC);
    check_close(in_db(c.result.mean), 0.0, 1e-4, "dB");
    case_at(&c, p, EARSHOT_ANTENNA_VERTICAL);
    check_close(in_db(c.result.mean), 20.0 * log10(1.5 * 0.64), 1e-4, "dB");
    case_at(&c, p, EARSHOT_ANTENNA_HORIZONTAL_X);
    check_close(in_db(c.result.mean), 20.0 * log10(1.5 * 0.36), 1e-4, "dB");
    case_at(&c, p, EARSHOT_ANTENNA_HORIZONTAL_Y);
    check_close(in_db(c.result.mean), 20.0 * log10(1.5), 1e-4, "dB");
    case_at(&c, p, EARSHOT_ANTENNA_DIPOLE_VERTICAL);
    check_close(in_db(c.result.mean), 20.0 * log10(1.64 * pow(cos(ES_PI / 2.0 * 0.6) / 0.8, 2.0)), 1e-3, "dB");
    case_free(&c);
}

/* Two rays over ground: 1/s and the reflection of TM (upright elements) or TE (elements across the way). */
static double two_rays(const es_layer *ground, double distance_m, double rise_m, double heights_m, bool upright)
{
    es_layer deep = *ground;
    double complex t[2], r[2];
    deep.thickness_m = 1e4;
    const double k = 2.0 * ES_PI * HZ_433 / ES_LIGHT_M_S;
    const double direct_m = hypot(distance_m, rise_m), echo_m = hypot(distance_m, heights_m);
    es_slab_layers(&deep, 1, HZ_433, heights_m / echo_m, t, r);
    const double straight = upright ? pow(distance_m / direct_m, 2.0) : 1.0;
    const double bounced = upright ? pow(distance_m / echo_m, 2.0) : 1.0;
    const double complex sum = straight * cexp(-I * (k * direct_m)) / direct_m +
                               bounced * r[upright ? ES_TM : ES_TE] * cexp(-I * (k * echo_m)) / echo_m;
    return 20.0 * log10(1.5 * cabs(sum) * direct_m);
}

static void test_ground_is_two_rays(void **state)
{
    (void)state;
    const es_layer medium_dry = {.a = 15.0, .b = -0.1, .c = 0.035, .d = 1.63};
    const es_rays_input input = {.ground = &medium_dry, .ground_z_m = 0.0};
    rays_case c = case_new(input, HZ_433, SOURCE, in_space(HZ_433));
    for (double d = 3.7; d < 200.0; d *= 1.41) {
        const earshot_vec3 p = {SOURCE.x_m + d, SOURCE.y_m, 2.31};
        case_at(&c, p, EARSHOT_ANTENNA_VERTICAL);
        check_close(in_db(c.result.at_point), two_rays(&medium_dry, d, 1.08, 3.54, true), 0.01, "dB");
        case_at(&c, p, EARSHOT_ANTENNA_HORIZONTAL_Y);
        check_close(in_db(c.result.at_point), two_rays(&medium_dry, d, 1.08, 3.54, false), 0.01, "dB");
    }
    case_free(&c);
}

static const earshot_point FLOOR[] = {{-50.0, -50.0}, {50.0, -50.0}, {50.0, 50.0}, {-50.0, 50.0}};

/* Through one slab the direct ray loses what the slab formula says in TM; a hole lets it through. */
static void test_slab_and_hole(void **state)
{
    (void)state;
    const earshot_point hole[] = {{4.0, 1.0}, {7.0, 1.0}, {7.0, 3.0}, {4.0, 3.0}};
    const earshot_point *const holes[] = {hole};
    const size_t corners[] = {4};
    const es_sheet slab = {.outline = FLOOR,
                           .n_outline = 4,
                           .hole = holes,
                           .n_hole = corners,
                           .n_holes = 1,
                           .z_m = 2.6,
                           .thickness_m = 0.2,
                           .material = CONCRETE_200};
    es_rays_options options = in_space(HZ_868);
    options.floors = 0;
    options.over = false;
    rays_case c = case_new((es_rays_input){.sheet = &slab, .n_sheets = 1}, HZ_868, SOURCE, options);
    double complex t[2], r[2];
    const earshot_vec3 far_corner = {SOURCE.x_m + 4.0, SOURCE.y_m + 6.3, 4.23}, above_hole = {6.93, 2.11, 3.23};
    const double length_m = sqrt(16.0 + 6.3 * 6.3 + 9.0);
    es_slab_coefficients(&MATERIAL[CONCRETE_200], HZ_868, 3.0 / length_m, t, r);
    case_at(&c, far_corner, EARSHOT_ANTENNA_ISOTROPIC);
    check_close(in_db(c.result.mean), 20.0 * log10(cabs(t[ES_TM])), 0.01, "dB");
    case_at(&c, above_hole, EARSHOT_ANTENNA_ISOTROPIC);
    check_close(in_db(c.result.mean), 0.0, 1e-4, "dB");
    case_free(&c);
}

/* A long upright edge in space: UTD of Kouyoumjian and Pathak with 1/sin(beta0), L = s s' sin^2(beta0) / (s + s') and
 * spreading sqrt(s' / (s (s + s'))) / s', at the Keller point. */
static void test_oblique_half_plane(void **state)
{
    (void)state;
    const es_panel half_plane = wall(0.0, 0.0, 400.0, 0.0, CONDUCTOR);
    const earshot_vec3 source = {2.0, -3.0, 0.4}, p = {1.0, 2.0, 5.1};
    rays_case c = case_new((es_rays_input){.panel = &half_plane, .n_panels = 1}, HZ_868, source, in_space(HZ_868));
    case_at(&c, p, EARSHOT_ANTENNA_ISOTROPIC);
    const double in_m = hypot(2.0, 3.0), out_m = hypot(1.0, 2.0), whole_m = in_m + out_m, s_m = hypot(whole_m, 4.7);
    const double k = 2.0 * ES_PI * HZ_868 / ES_LIGHT_M_S, sine = whole_m / s_m;
    const double s1 = in_m / sine, s2 = out_m / sine, l = s1 * s2 * sine * sine / (s1 + s2);
    const double minus = atan2(2.0, 1.0) - atan2(-3.0, 2.0) - 2.0 * ES_PI;
    const double plus = atan2(2.0, 1.0) + atan2(-3.0, 2.0) + 2.0 * ES_PI;
    double complex *table = es_rays_fresnel_new();
    const double a = cos(minus / 2.0), b = -cos(plus / 2.0);
    const double complex d =
        -cexp(-I * ES_PI / 4.0) / (2.0 * sqrt(2.0 * ES_PI * k) * sine) *
        (es_rays_transition(table, 2.0 * k * l * a * a) / a + es_rays_transition(table, 2.0 * k * l * b * b) / b);
    const double expected = cabs(d) * sqrt(s1 / (s2 * (s1 + s2))) / s1;
    assert_int_equal(c.work->n_risen, 1);
    check_close(20.0 * log10(cabs(c.work->risen[0].amplitude)), 20.0 * log10(expected), 0.01, "dB");
    free(table);
    case_free(&c);
}

/* A wall lower than the ray is not in its way; one that reaches it is. */
static void test_heights_count(void **state)
{
    (void)state;
    es_panel low = wall(3.0, -40.0, 3.0, 40.0, BRICK_110);
    low.z0_m = 0.0;
    low.z1_m = 1.5;
    es_rays_options options = in_space(HZ_868);
    options.over = false;
    rays_case c = case_new((es_rays_input){.panel = &low, .n_panels = 1}, HZ_868, SOURCE, options);
    case_at(&c, (earshot_vec3){4.37, 2.11, 2.23}, EARSHOT_ANTENNA_ISOTROPIC); /* crosses at 1.773 m */
    check_close(in_db(c.result.mean), 0.0, 0.2, "dB");
    case_at(&c, (earshot_vec3){4.37, 2.11, 1.43}, EARSHOT_ANTENNA_ISOTROPIC);
    check_close(in_db(c.result.mean), -3.3, 0.3, "dB");
    case_free(&c);
}

/* Over a conducting wall, met squarely, E upright: the hard half plane of Kouyoumjian and Pathak, both terms added. */
static void test_over_a_conducting_wall(void **state)
{
    (void)state;
    es_panel low = wall(5.0, -30.0, 5.0, 30.0, CONDUCTOR);
    low.z0_m = -30.0;
    low.z1_m = 1.5;
    rays_case c = case_new((es_rays_input){.panel = &low, .n_panels = 1}, HZ_868, (earshot_vec3){1.7, 2.3, 1.1},
                           in_space(HZ_868));
    case_at(&c, (earshot_vec3){7.4, 2.3, 1.2}, EARSHOT_ANTENNA_ISOTROPIC);
    const double s1 = hypot(3.3, 0.4), s2 = hypot(2.4, 0.3), k = 2.0 * ES_PI * HZ_868 / ES_LIGHT_M_S;
    const double phi_in = atan2(3.3, 0.4), phi_out = 2.0 * ES_PI - atan2(2.4, 0.3); /* from the wall, over its top */
    double complex *table = es_rays_fresnel_new();
    double complex d = 0.0;
    for (double sign = -1.0; sign <= 1.0; sign += 2.0) {
        const double cosine = cos((phi_out + sign * phi_in) / 2.0), l = s1 * s2 / (s1 + s2);
        d += es_rays_transition(table, 2.0 * k * l * cosine * cosine) / cosine;
    }
    const double expected = cabs(d) / (2.0 * sqrt(2.0 * ES_PI * k) * sqrt(s1 * s2 * (s1 + s2)));
    double found = 0.0;
    for (size_t i = 0; i < c.work->n_risen; i++)
        if (c.work->risen[i].candidate == RAYS_NONE)
            found = fmax(found, cabs(c.work->risen[i].amplitude)); /* the foot is far */
    check_close(20.0 * log10(found), 20.0 * log10(expected), 0.01, "dB");
    free(table);
    case_free(&c);
}

/* What is met, in order. */
static void test_account(void **state)
{
    (void)state;
    es_panel w = wall(3.0, -40.0, 3.0, 40.0, BRICK_110);
    w.element = 7;
    const es_sheet ceiling = {
        .outline = FLOOR, .n_outline = 4, .z_m = 2.6, .element = 9, .material = CONCRETE_200, .thickness_m = 0.2};
    const es_rays_input input = {.panel = &w, .n_panels = 1, .sheet = &ceiling, .n_sheets = 1};
    rays_case c = case_new(input, HZ_868, SOURCE, in_space(HZ_868));
    earshot_path account[2];
    case_at(&c, (earshot_vec3){5.37, 3.11, 1.73}, EARSHOT_ANTENNA_ISOTROPIC);
    assert_int_equal(es_rays_strongest(c.rays, c.work, account, 2), 2);
    assert_int_equal(account[0].n_meetings, 1);
    assert_int_equal(account[0].meeting[0].element, 7);
    assert_int_equal(account[0].meeting[0].deed, EARSHOT_PASSES);
    check_close(account[0].gain_db, -3.4, 0.3, "dB");
    check_close(account[0].meeting[0].at.x_m, 3.0, 1e-6, "m");
    assert_int_equal(account[1].n_meetings, 2);
    assert_int_equal(account[1].meeting[0].element + account[1].meeting[1].element, 16);
    assert_true(account[1].gain_db < account[0].gain_db);
    case_free(&c);
}

static es_panel between(es_panel panel, double z0_m, double z1_m)
{
    panel.z0_m = z0_m;
    panel.z1_m = z1_m;
    return panel;
}

/* Walls of another storey on the lines of this one's, and jambs of theirs, change nothing for a level ray here: at a
 * junction, at a jamb, along the wall. */
static void test_walls_above_are_not_met(void **state)
{
    (void)state;
    es_panel p[] = {
        /* another wall's first, so that arms in line are not by chance found in the order that is right here */
        between(wall(0.0, 4.6, 9.6, 4.6, PLASTERBOARD_100), 2.6, 5.0),
        between(wall(5.8, 0.0, 5.8, 7.6, BRICK_110), 2.6, 5.0),
        between(wall(0.0, 4.6, 7.1, 4.6, BRICK_110), 0.0, 2.4),
        between(wall(8.0, 4.6, 9.6, 4.6, BRICK_110), 0.0, 2.4),
        between(wall(5.8, 0.0, 5.8, 4.6, CONCRETE_200), 0.0, 2.4),
    };
    const earshot_vec3 source = {4.1, 4.37, 1.3};
    es_rays_options options = in_space(HZ_868);
    options.over = false;
    rays_case both = case_new((es_rays_input){.panel = p, .n_panels = 5}, HZ_868, source, options);
    rays_case alone = case_new((es_rays_input){.panel = &p[2], .n_panels = 3}, HZ_868, source, options);
    for (double y = 1.3; y < 7.0; y += 0.37) {
        case_at(&both, (earshot_vec3){11.3, y, 1.3}, EARSHOT_ANTENNA_ISOTROPIC);
        case_at(&alone, (earshot_vec3){11.3, y, 1.3}, EARSHOT_ANTENNA_ISOTROPIC);
        /* not to the last bit: they may make a faint way, 60 dB down, seem too weak to follow */
        check_close(in_db(both.result.mean), in_db(alone.result.mean), 0.1, "dB");
    }
    case_free(&both);
    case_free(&alone);
}

/* A ray that the slab reflects right beside a wall does not slip over the wall's top. */
static void test_no_gap_under_a_slab(void **state)
{
    (void)state;
    const earshot_point all[] = {{-30.0, -30.0}, {30.0, -30.0}, {30.0, 30.0}, {-30.0, 30.0}};
    const es_panel p = between(wall(7.0, -30.0, 7.0, 30.0, CONDUCTOR), -30.0, 2.3);
    const es_sheet slab = {.outline = all, .n_outline = 4, .z_m = 2.4, .material = CONCRETE_200};
    const es_rays_input input = {.panel = &p, .n_panels = 1, .sheet = &slab, .n_sheets = 1};
    rays_case c = case_new(input, HZ_868, (earshot_vec3){0.4, 0.3, 1.6}, in_space(HZ_868));
    case_at(&c, (earshot_vec3){11.4, 0.9, 1.8}, EARSHOT_ANTENNA_ISOTROPIC);
    assert_true(in_db(c.result.mean) < -40.0);
    case_free(&c);
}

/* A corridor with a side room, its door open; the point is in the room, out of sight. */
static double loss_when_lifted(double by_m)
{
    es_panel panel[] = {wall(0, 0, 9, 0, BRICK_110), wall(0, 2, 4, 2, CONCRETE_200), wall(4.9, 2, 9, 2, CONCRETE_200),
                        wall(3, 2, 3, 5, BRICK_110), wall(6, 2, 6, 5, GLASS_8)};
    for (size_t i = 0; i < sizeof panel / sizeof *panel; i++) {
        panel[i].z0_m = by_m;
        panel[i].z1_m = by_m + 2.5;
    }
    const es_rays_input input = {.panel = panel, .n_panels = sizeof panel / sizeof *panel};
    es_rays_options options = es_rays_defaults(HZ_868);
    options.space = true;
    rays_case c = case_new(input, HZ_868, (earshot_vec3){0.7, 0.9, by_m + 1.6}, options);
    case_at(&c, (earshot_vec3){5.6, 4.1, by_m + 1.2}, EARSHOT_ANTENNA_ISOTROPIC);
    const double loss_db = -in_db(c.result.mean);
    case_free(&c);
    return loss_db;
}

/* Nothing but heights above each other counts, so a lifted building is the same building. */
static void test_a_lifted_building_is_the_same(void **state)
{
    (void)state;
    check_close(loss_when_lifted(10.0), loss_when_lifted(0.0), 1e-6, "dB");
    check_close(loss_when_lifted(-7.5), loss_when_lifted(0.0), 1e-6, "dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_free_space_and_patterns), cmocka_unit_test(test_ground_is_two_rays),
        cmocka_unit_test(test_slab_and_hole),           cmocka_unit_test(test_oblique_half_plane),
        cmocka_unit_test(test_heights_count),           cmocka_unit_test(test_account),
        cmocka_unit_test(test_over_a_conducting_wall),  cmocka_unit_test(test_walls_above_are_not_met),
        cmocka_unit_test(test_no_gap_under_a_slab),     cmocka_unit_test(test_a_lifted_building_is_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
