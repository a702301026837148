/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sites made of plans. */
#include "support/check.h"

#include "site/site.h"
#include "support/plans.h"

static const char COTTAGE[] = "plan 1\n"
                              "band 868.30MHz 433.92MHz\n"
                              "ground wet-ground\n" TEST_MATERIALS
                              "radio hub erp=13.1dBm gain=1.3dBi sensitivity=-108.6dBm twoway=yes mains=yes\n"
                              "radio pir band=868.30MHz erp=7.4dBm\n"
                              "radio pir band=433.92MHz erp=3.9dBm\n"
                              "storey ground level=0.3m height=2.5m\n"
                              "wall thick 0,0 9.3,0 9.3,7.1 0,7.1 0,0\n"
                              "wall thin 4.7,0 4.7,7.1\n"
                              "wall thick 12,1 12,6 from=0.4m to=1.7m label=\"Yard wall\"\n"
                              "door 4.7,3.1 4.7,4.0 material=leaf head=2.03m\n"
                              "window 1.3,0 2.9,0 material=pane sill=0.85m head=2.1m\n"
                              "window 3.2,0 3.9,0 material=pane sill=0.85m head=2.1m\n"
                              "slab deck 0,0 9.3,0 9.3,7.1 0,7.1\n"
                              "hole 5.2,1.1 7.4,1.1 7.4,2.3 5.2,2.3\n"
                              "block tank 6.1,5.2 7.9,5.2 7.9,6.4 6.1,6.4 from=0.1m to=1.4m\n"
                              "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
                              "mount landing 4.9,2.2 at=2.2m mains=yes\n"
                              "device hall movement 4.5,6.9 at=2.3m radio=pir\n"
                              "storey upper level=3.05m height=2.4m\n"
                              "wall thin 4.7,0 4.7,7.1\n"
                              "slab deck 0,0 9.3,0 9.3,7.1 0,7.1 at=2.2m\n"
                              "hole 1.2,1.1 2.4,1.1 2.4,2.3 1.2,2.3\n"
                              "device loft movement 7.7,1.9 at=2.1m radio=pir\n"
                              "scene shut swap=pane:tank,thin:thick\n"
                              "scene exchanged swap=thin:thick,thick:thin\n";

typedef struct cottage {
    earshot_plan *plan;
    earshot_site *site;
} cottage;

static int set_up(void **state)
{
    cottage *c = calloc(1, sizeof *c);
    assert_non_null(c);
    c->plan = plan_of(COTTAGE);
    c->site = site_of(c->plan, NULL);
    *state = c;
    return 0;
}

static int tear_down(void **state)
{
    cottage *c = *state;
    earshot_site_free(c->site);
    earshot_plan_free(c->plan);
    free(c);
    return 0;
}

static void check_element(const earshot_site *site, size_t i, earshot_element_kind kind, size_t statement,
                          const char *material, unsigned storey)
{
    const earshot_element e = earshot_site_element(site, i);
    assert_int_equal(e.kind, kind);
    assert_int_equal(e.statement, statement);
    assert_string_equal(earshot_site_plan(site)->material[e.material].name, material);
    assert_int_equal(e.storey, storey);
}

static void test_elements_are_numbered_by_statement(void **state)
{
    const cottage *c = *state;
    assert_int_equal(earshot_site_elements(c->site), 10);
    check_element(c->site, 0, EARSHOT_ELEMENT_WALL, 0, "thick", 0);
    check_element(c->site, 1, EARSHOT_ELEMENT_WALL, 1, "thin", 0);
    check_element(c->site, 2, EARSHOT_ELEMENT_WALL, 2, "thick", 0);
    check_element(c->site, 3, EARSHOT_ELEMENT_WALL, 3, "thin", 1);
    check_element(c->site, 4, EARSHOT_ELEMENT_DOOR, 0, "leaf", 0);
    check_element(c->site, 5, EARSHOT_ELEMENT_WINDOW, 1, "pane", 0);
    check_element(c->site, 6, EARSHOT_ELEMENT_WINDOW, 2, "pane", 0);
    check_element(c->site, 7, EARSHOT_ELEMENT_SLAB, 0, "deck", 0);
    check_element(c->site, 8, EARSHOT_ELEMENT_SLAB, 1, "deck", 1);
    check_element(c->site, 9, EARSHOT_ELEMENT_BLOCK, 0, "tank", 0);
}

static void check_at(earshot_vec3 at, double x_m, double y_m, double z_m)
{
    check_close(at.x_m, x_m, 0.0, "m");
    check_close(at.y_m, y_m, 0.0, "m");
    check_close(at.z_m, z_m, 1e-12, "m");
}

static void test_positions_are_absolute(void **state)
{
    const cottage *c = *state;
    check_at(earshot_site_receiver_at(c->site, 0), 1.1, 5.9, 1.9);
    check_at(earshot_site_mount_at(c->site, 0), 4.9, 2.2, 2.5);
    check_at(earshot_site_device_at(c->site, 0), 4.5, 6.9, 2.6);
    check_at(earshot_site_device_at(c->site, 1), 7.7, 1.9, 5.15);
}

static double panels_area_m2(const earshot_site *site, size_t element)
{
    size_t n;
    const es_panel *panel = es_geometry_panels(site->geometry, &n);
    double sum = 0.0;
    for (size_t i = 0; i < n; i++)
        if (panel[i].element == element)
            sum +=
                hypot(panel[i].bx_m - panel[i].ax_m, panel[i].by_m - panel[i].ay_m) * (panel[i].z1_m - panel[i].z0_m);
    return sum;
}

static void test_openings_are_taken_out_of_their_walls(void **state)
{
    const cottage *c = *state;
    const double door = 0.9 * 2.03, left = 1.6 * 1.25, right = 0.7 * 1.25;
    check_close(panels_area_m2(c->site, 0), 2.0 * (9.3 + 7.1) * 2.5 - left - right, 1e-9, "m2");
    check_close(panels_area_m2(c->site, 1), 7.1 * 2.5 - door, 1e-9, "m2");
    check_close(panels_area_m2(c->site, 2), 5.0 * 1.3, 1e-9, "m2");
    check_close(panels_area_m2(c->site, 3), 7.1 * 2.4, 1e-9, "m2");
    check_close(panels_area_m2(c->site, 4), door, 1e-9, "m2");
    check_close(panels_area_m2(c->site, 5), left, 1e-9, "m2");
    check_close(panels_area_m2(c->site, 6), right, 1e-9, "m2");
}

static void test_slabs_lie_on_their_undersides(void **state)
{
    const cottage *c = *state;
    size_t n;
    const es_sheet *sheet = es_geometry_sheets(c->site->geometry, &n);
    assert_int_equal(n, 2);
    check_close(sheet[0].thickness_m, 0.1845, 1e-12, "m");
    check_close(sheet[0].z_m, 0.3 + 2.5 + 0.09225, 1e-12, "m");
    check_close(sheet[1].z_m, 3.05 + 2.2 + 0.09225, 1e-12, "m");
    assert_int_equal(sheet[0].n_holes, 1);
    assert_int_equal(sheet[1].n_holes, 1); /* each hole belongs to its own storey's slabs */
    check_close(sheet[0].hole[0][0].x_m, 5.2, 0.0, "m");
    check_close(sheet[1].hole[0][0].x_m, 1.2, 0.0, "m");
}

static void test_blocks_stand_on_the_storey_floor(void **state)
{
    const cottage *c = *state;
    size_t n;
    const es_prism *prism = es_geometry_prisms(c->site->geometry, &n);
    assert_int_equal(n, 1);
    check_close(prism[0].z0_m, 0.4, 1e-12, "m");
    check_close(prism[0].z1_m, 1.7, 1e-12, "m");
    assert_int_equal(prism[0].element, 9);
}

static size_t count_crossed(const earshot_site *site, earshot_vec3 a, earshot_vec3 b, size_t *element)
{
    earshot_crossing crossing[16];
    size_t n = 0;
    assert_int_equal(earshot_crossings(site, a, b, crossing, 16, &n), EARSHOT_OK);
    assert_true(n <= 16);
    for (size_t i = 0; i < n; i++) element[i] = crossing[i].element;
    return n;
}

static void test_lines_cross_what_stands_in_their_way(void **state)
{
    const cottage *c = *state;
    size_t e[16];
    assert_int_equal(count_crossed(c->site, (earshot_vec3){3, 3.6, 1.2}, (earshot_vec3){6, 3.5, 1.3}, e), 1);
    assert_int_equal(e[0], 4); /* through the door */
    assert_int_equal(count_crossed(c->site, (earshot_vec3){3, 3.6, 2.5}, (earshot_vec3){6, 3.5, 2.5}, e), 1);
    assert_int_equal(e[0], 1); /* over its head */
    assert_int_equal(count_crossed(c->site, (earshot_vec3){2.1, -1, 1.5}, (earshot_vec3){2.2, 3, 1.6}, e), 1);
    assert_int_equal(e[0], 5); /* through a window */
    assert_int_equal(count_crossed(c->site, (earshot_vec3){2.1, -1, 0.7}, (earshot_vec3){2.2, 3, 0.8}, e), 1);
    assert_int_equal(e[0], 0); /* below its sill */
    assert_int_equal(count_crossed(c->site, (earshot_vec3){11, 3, 1.2}, (earshot_vec3){13, 3.3, 1.2}, e), 1);
    assert_int_equal(e[0], 2); /* the yard wall stands from 0.7 m to 2.0 m */
    assert_int_equal(count_crossed(c->site, (earshot_vec3){11, 3, 2.2}, (earshot_vec3){13, 3.3, 2.2}, e), 0);
    assert_int_equal(count_crossed(c->site, (earshot_vec3){6, 1.7, 1.2}, (earshot_vec3){6.3, 1.9, 4.0}, e), 0);
    assert_int_equal(count_crossed(c->site, (earshot_vec3){6, 4.7, 1.2}, (earshot_vec3){6.3, 4.4, 4.0}, e), 1);
    assert_int_equal(e[0], 7); /* the slab, where the stairs are not */
    assert_int_equal(count_crossed(c->site, (earshot_vec3){7, 5.0, 1.0}, (earshot_vec3){7, 6.6, 1.1}, e), 1);
    assert_int_equal(e[0], 9);
}

/* At the door's jamb exactly: door and wall are both there, but the line passes one spot. */
static void test_a_jamb_is_one_group(void **state)
{
    const cottage *c = *state;
    earshot_crossing crossing[8];
    size_t n = 0;
    const earshot_vec3 a = {3.7, 2.1, 1.2}, b = {5.7, 4.1, 1.4}; /* meets x = 4.7 at y = 3.1 */
    assert_int_equal(earshot_crossings(c->site, a, b, crossing, 8, &n), EARSHOT_OK);
    assert_true(n >= 1);
    for (size_t i = 0; i < n; i++) assert_int_equal(crossing[i].group, 0);
}

static void test_crossings_refuse_what_is_not_finite(void **state)
{
    const cottage *c = *state;
    size_t n = 77;
    const earshot_vec3 a = {3.7, 2.1, (double)NAN}, b = {5.7, (double)INFINITY, 1.4}, d = {1, 2, 1};
    assert_int_equal(earshot_crossings(c->site, a, d, NULL, 0, &n), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_crossings(c->site, d, b, NULL, 0, &n), EARSHOT_ARGUMENT);
    assert_int_equal(n, 77);
}

static void test_radio_of_a_band(void **state)
{
    const cottage *c = *state;
    check_close(earshot_site_radio(c->site, "pir", 868.3e6)->erp_dbm, 7.4, 0.0, "dBm");
    check_close(earshot_site_radio(c->site, "pir", 434.9e6)->erp_dbm, 3.9, 0.0, "dBm");
    assert_null(earshot_site_radio(c->site, "pir", 436.0e6));
    check_close(earshot_site_radio(c->site, "hub", 436.0e6)->erp_dbm, 13.1, 0.0, "dBm");
    assert_null(earshot_site_radio(c->site, "hat", 868.3e6));
    assert_null(earshot_site_radio(c->site, NULL, 868.3e6));
}

static void test_ground_and_spread(void **state)
{
    const cottage *c = *state;
    assert_non_null(c->site->structure.ground);
    check_close(c->site->structure.ground->a, 30.0, 0.0, "");
    check_close(earshot_material_spread_db(c->site, material_named(c->plan, "thick")), 2.7, 0.0, "dB");
    check_close(earshot_material_spread_db(c->site, material_named(c->plan, "pane")), 3.0, 0.0, "dB");
    assert_true(isnan(earshot_material_spread_db(c->site, c->plan->n_materials)));
}

static void test_scene_swaps_materials_of_elements(void **state)
{
    const cottage *c = *state;
    earshot_site *shut = site_of(c->plan, "shut"), *exchanged = site_of(c->plan, "exchanged");
    assert_null(earshot_site_scene(c->site));
    assert_string_equal(earshot_site_scene(shut), "shut");
    check_element(shut, 0, EARSHOT_ELEMENT_WALL, 0, "thick", 0);
    check_element(shut, 1, EARSHOT_ELEMENT_WALL, 1, "thick", 0);
    check_element(shut, 5, EARSHOT_ELEMENT_WINDOW, 1, "tank", 0);
    check_element(exchanged, 0, EARSHOT_ELEMENT_WALL, 0, "thin", 0);
    check_element(exchanged, 1, EARSHOT_ELEMENT_WALL, 1, "thick", 0);
    earshot_site_free(shut);
    earshot_site_free(exchanged);
}

static void test_scene_changes_losses(void **state)
{
    const cottage *c = *state;
    earshot_site *shut = site_of(c->plan, "shut");
    const earshot_site *site[2] = {c->site, shut};
    double loss_db[2];
    for (size_t i = 0; i < 2; i++) {
        earshot_field *field;
        earshot_loss loss;
        const earshot_vec3 outside = {2.1, -1, 1.5}, inside = {2.2, 3, 1.6};
        assert_int_equal(earshot_field_new(site[i], EARSHOT_MODEL_DIRECT, 868.3e6, outside, EARSHOT_ANTENNA_ISOTROPIC,
                                           EARSHOT_DETAIL_LINK, &field),
                         EARSHOT_OK);
        assert_int_equal(earshot_field_at(field, inside, EARSHOT_ANTENNA_ISOTROPIC, &loss), EARSHOT_OK);
        loss_db[i] = loss.loss_db;
        earshot_field_free(field);
    }
    check_close(loss_db[1] - loss_db[0], 31.7 - 0.71, 1e-9, "dB");
    earshot_site_free(shut);
}

static void test_unknown_scene_lists_those_there_are(void **state)
{
    const cottage *c = *state;
    earshot_site *site = c->site;
    earshot_error error;
    assert_int_equal(earshot_site_new(c->plan, "shutt", &site, &error), EARSHOT_NO_SUCH_NAME);
    assert_null(site);
    assert_non_null(strstr(error.message, "'shutt'"));
    assert_non_null(strstr(error.message, "'shut', 'exchanged'"));
    assert_int_equal(earshot_site_new(c->plan, "shutt", &site, NULL), EARSHOT_NO_SUCH_NAME);
}

/* A plan made by hand that could not have been read. */
static void test_wrong_plans_made_by_hand_are_refused(void **state)
{
    const cottage *c = *state;
    earshot_site *site;
    earshot_error error;
    earshot_plan plan = *c->plan;
    earshot_opening opening = plan.opening[0];
    earshot_wall wall = plan.wall[0];
    plan.opening = &opening;
    plan.n_openings = 1;
    opening.piece = 5;
    assert_int_equal(earshot_site_new(&plan, NULL, &site, &error), EARSHOT_PLAN_INVALID);
    assert_null(site);
    plan = *c->plan;
    plan.wall = &wall;
    plan.n_walls = 1;
    plan.n_openings = 0;
    wall.material = "gold";
    assert_int_equal(earshot_site_new(&plan, NULL, &site, &error), EARSHOT_NO_SUCH_NAME);
    assert_non_null(strstr(error.message, "'gold'"));
    wall.material = "thin";
    wall.storey = 2;
    assert_int_equal(earshot_site_new(&plan, NULL, &site, &error), EARSHOT_PLAN_INVALID);
    plan = *c->plan;
    plan.ground = "lava";
    assert_int_equal(earshot_site_new(&plan, NULL, &site, &error), EARSHOT_NO_SUCH_NAME);
}

static void test_an_empty_plan_is_a_site(void **state)
{
    (void)state;
    earshot_plan *plan = plan_of("plan 1\n");
    earshot_site *site = site_of(plan, NULL);
    assert_int_equal(earshot_site_elements(site), 0);
    assert_null(site->structure.ground);
    earshot_site_free(site);
    earshot_site_free(NULL);
    earshot_plan_free(plan);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_elements_are_numbered_by_statement),
        cmocka_unit_test(test_positions_are_absolute),
        cmocka_unit_test(test_openings_are_taken_out_of_their_walls),
        cmocka_unit_test(test_slabs_lie_on_their_undersides),
        cmocka_unit_test(test_blocks_stand_on_the_storey_floor),
        cmocka_unit_test(test_lines_cross_what_stands_in_their_way),
        cmocka_unit_test(test_a_jamb_is_one_group),
        cmocka_unit_test(test_crossings_refuse_what_is_not_finite),
        cmocka_unit_test(test_radio_of_a_band),
        cmocka_unit_test(test_ground_and_spread),
        cmocka_unit_test(test_scene_swaps_materials_of_elements),
        cmocka_unit_test(test_scene_changes_losses),
        cmocka_unit_test(test_unknown_scene_lists_those_there_are),
        cmocka_unit_test(test_wrong_plans_made_by_hand_are_refused),
        cmocka_unit_test(test_an_empty_plan_is_a_site),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
