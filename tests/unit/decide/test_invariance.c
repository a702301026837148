/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must not matter to a link: where the plan lies on the page, how it is turned or mirrored, in which order the
 * storeys stand in the file, and whether a wall is drawn in one piece or two. */
#include "support/check.h"

#include "base/text.h"
#include "support/plans.h"

static const double F_HZ = 868.3e6;

/* From the page as drawn to another: mirrored or not, turned, moved. */
typedef struct pose {
    bool mirrored;
    double angle_rad, dx_m, dy_m;
} pose;

static void add_point(earshot_text *text, const pose *page, double x, double y)
{
    const double x1 = page->mirrored ? -x : x;
    const double c = cos(page->angle_rad), s = sin(page->angle_rad);
    es_text_format(text, " %.17g,%.17g", c * x1 - s * y + page->dx_m, s * x1 + c * y + page->dy_m);
}

/* A template: "@x,y" is a point, everything else stands as it is. */
static void add_statement(earshot_text *text, const pose *page, const char *line)
{
    while (*line) {
        const char *at = strchr(line, '@');
        es_text_add_bytes(text, line, at ? (size_t)(at - line) : strlen(line));
        if (!at) break;
        double xy[2];
        char *end;
        xy[0] = strtod(at + 1, &end);
        xy[1] = strtod(end + 1, &end);
        add_point(text, page, xy[0], xy[1]);
        line = end;
    }
}

static const char HEAD[] =
    "plan 1\n" TEST_MATERIALS "radio hub erp=13.1dBm gain=1.3dBi sensitivity=-108.6dBm twoway=yes mains=yes\n"
    "radio relay erp=12.2dBm sensitivity=-106.3dBm twoway=yes\n"
    "radio pir erp=7.4dBm\n"
    "radio pad erp=9.7dBm gain=-2.3dBi sensitivity=-101.9dBm twoway=yes\n";

static const char GROUND[] = "storey ground level=0m height=2.5m\n"
                             "wall thick @0,0 @9.3,0 @9.3,7.1 @0,7.1 @0,0\n"
                             "wall thin @4.7,0 @4.7,7.1\n"
                             "wall thin @4.7,3.3 @9.3,3.3\n"
                             "door @4.7,4.1 @4.7,5.03 material=leaf\n"
                             "window @9.3,1.2 @9.3,2.6 material=pane sill=0.9m head=2.1m\n"
                             "slab deck @0,0 @9.3,0 @9.3,7.1 @0,7.1\n"
                             "hole @5.2,4.1 @6.4,4.1 @6.4,6.3 @5.2,6.3\n"
                             "block tank @1.9,0.6 @2.8,0.6 @2.8,1.7 @1.9,1.7 to=1.6m\n"
                             "receiver panel @1.13,5.91 at=1.61m radio=hub\n"
                             "mount landing @6.1,3.9 at=2.23m mains=yes radio=relay\n"
                             "device hall movement @4.57,6.93 at=2.31m radio=pir\n"
                             "device kitchen heat @8.71,1.87 at=2.4m radio=pir\n"
                             "device pad keypad @9.1,3.6 at=1.4m radio=pad\n"
                             "device garage contact @23.7,-3.3 at=1.9m radio=pir\n"
                             "wall thick @21,-6 @27,-6 @27,-1 @21,-1 @21,-6\n"
                             "window @21,-4.4 @21,-2.9 material=tank sill=0m head=2.2m\n";

static const char UPPER[] = "storey upper level=2.8m height=2.4m\n"
                            "wall thick @0,0 @9.3,0 @9.3,7.1 @0,7.1 @0,0\n"
                            "wall thin @4.7,0 @4.7,7.1\n"
                            "device landing-smoke smoke @5.8,5.1 at=2.3m radio=pir\n"
                            "device bedroom movement @8.9,0.4 at=2.2m radio=pir\n"
                            "device west glass @0.7,1.3 at=2.2m radio=pir\n";

typedef struct result {
    earshot_plan *plan;
    earshot_site *site;
    earshot_check check;
} result;

static result run(const char *text)
{
    result r = {.plan = plan_of(text)};
    r.site = site_of(r.plan, NULL);
    assert_int_equal(earshot_check_run(r.site, EARSHOT_MODEL_DIRECT, F_HZ, 0, NULL, &r.check, NULL), EARSHOT_OK);
    return r;
}

static void clear(result *r)
{
    earshot_check_clear(&r->check);
    earshot_site_free(r->site);
    earshot_plan_free(r->plan);
}

static result run_posed(const pose *page, const char *first, const char *second)
{
    earshot_text text = {0};
    es_text_add(&text, HEAD);
    add_statement(&text, page, first);
    add_statement(&text, page, second);
    assert_false(text.failed);
    result r = run(text.data);
    earshot_text_clear(&text);
    return r;
}

static void check_same_link(const char *name, const earshot_link *a, const earshot_link *b)
{
    if (a->loss.n_obstacles != b->loss.n_obstacles) print_error("%s:\n", name);
    assert_int_equal(a->loss.n_obstacles, b->loss.n_obstacles);
    check_close(a->loss.loss_db, b->loss.loss_db, 1e-9, "dB");
    check_close(a->loss.material_sigma_db, b->loss.material_sigma_db, 1e-9, "dB");
    check_close(a->margin_db, b->margin_db, 0.0101, "dB"); /* either side of a rounding */
    check_close(a->dependable_db, b->dependable_db, 0.0201, "dB");
}

/* Devices may stand in another order; they are matched by name. */
static void check_same(const result *a, const result *b)
{
    assert_int_equal(a->check.n_devices, b->check.n_devices);
    for (size_t i = 0; i < a->check.n_devices; i++) {
        const char *name = a->plan->device[i].name;
        const earshot_decision *x = &a->check.device[i], *y = &b->check.device[device_named(b->plan, name)];
        check_same_link(name, &x->link, &y->link);
        assert_int_equal(x->verdict, y->verdict);
        assert_int_equal(x->mount, y->mount);
    }
}

static const pose AS_DRAWN = {0};

static void test_the_plan_says_something(void **state)
{
    (void)state;
    result r = run_posed(&AS_DRAWN, GROUND, UPPER);
    assert_int_equal(r.check.n_devices, 7);
    size_t obstacles = 0;
    for (size_t i = 0; i < r.check.n_devices; i++) obstacles += r.check.device[i].link.loss.n_obstacles;
    assert_true(obstacles >= 10);
    clear(&r);
}

static void test_moving_the_plan_changes_nothing(void **state)
{
    (void)state;
    const pose moved = {.dx_m = 137.31, .dy_m = -58.77};
    result here = run_posed(&AS_DRAWN, GROUND, UPPER), there = run_posed(&moved, GROUND, UPPER);
    check_same(&here, &there);
    clear(&here);
    clear(&there);
}

static void test_turning_the_plan_changes_nothing(void **state)
{
    (void)state;
    result drawn = run_posed(&AS_DRAWN, GROUND, UPPER);
    for (int i = 1; i < 9; i++) {
        const pose turned = {.angle_rad = 0.7137 * i, .dx_m = 3.1 * i};
        result r = run_posed(&turned, GROUND, UPPER);
        check_same(&drawn, &r);
        clear(&r);
    }
    clear(&drawn);
}

static void test_mirroring_the_plan_changes_nothing(void **state)
{
    (void)state;
    const pose mirrored = {.mirrored = true}, both = {.mirrored = true, .angle_rad = 2.217, .dy_m = 41.3};
    result drawn = run_posed(&AS_DRAWN, GROUND, UPPER), once = run_posed(&mirrored, GROUND, UPPER),
           turned = run_posed(&both, GROUND, UPPER);
    check_same(&drawn, &once);
    check_same(&drawn, &turned);
    clear(&drawn);
    clear(&once);
    clear(&turned);
}

static void test_order_of_storeys_changes_nothing(void **state)
{
    (void)state;
    result up = run_posed(&AS_DRAWN, GROUND, UPPER), down = run_posed(&AS_DRAWN, UPPER, GROUND);
    assert_string_equal(down.plan->storey[0].name, "upper");
    check_same(&up, &down);
    clear(&up);
    clear(&down);
}

/* The first wall of a template, drawn in pieces instead; one joint lies on the line from receiver to kitchen. */
static void test_a_wall_in_two_pieces_is_one_wall(void **state)
{
    (void)state;
    static const char WHOLE[] = "wall thin @4.7,0 @4.7,7.1\n", PIECES[] = "wall thin @4.7,0 @4.7,3.3\n"
                                                                          "wall thin @4.7,3.3 @4.7,3.85 @4.7,7.1\n";
    const char *wall = strstr(GROUND, WHOLE);
    assert_non_null(wall);
    earshot_text text = {0};
    es_text_add_bytes(&text, GROUND, (size_t)(wall - GROUND));
    es_text_add(&text, PIECES);
    es_text_add(&text, wall + strlen(WHOLE));
    result whole = run_posed(&AS_DRAWN, GROUND, UPPER), pieces = run_posed(&AS_DRAWN, text.data, UPPER);
    check_same(&whole, &pieces);
    clear(&whole);
    clear(&pieces);
    earshot_text_clear(&text);
}

/* Receiver and device change places: the path loss is the same both ways. */
static void test_links_are_the_same_both_ways(void **state)
{
    (void)state;
    result r = run_posed(&AS_DRAWN, GROUND, UPPER);
    const earshot_need need = r.check.need;
    earshot_station panel, device;
    assert_int_equal(earshot_receiver_station(r.site, 0, F_HZ, &panel), EARSHOT_OK);
    for (size_t i = 0; i < r.check.n_devices; i++) {
        earshot_link back;
        assert_int_equal(earshot_device_station(r.site, i, F_HZ, &device), EARSHOT_OK);
        assert_int_equal(earshot_links(r.site, EARSHOT_MODEL_DIRECT, F_HZ, need, &device, &panel, 1, NULL, &back),
                         EARSHOT_OK);
        const earshot_link *out = &r.check.device[i].link;
        check_close(back.loss.loss_db, out->loss.loss_db, 1e-9, "dB");
        check_close(back.dependable_db, out->dependable_db, 0.0, "dB");
    }
    clear(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_plan_says_something),
        cmocka_unit_test(test_moving_the_plan_changes_nothing),
        cmocka_unit_test(test_turning_the_plan_changes_nothing),
        cmocka_unit_test(test_mirroring_the_plan_changes_nothing),
        cmocka_unit_test(test_order_of_storeys_changes_nothing),
        cmocka_unit_test(test_a_wall_in_two_pieces_is_one_wall),
        cmocka_unit_test(test_links_are_the_same_both_ways),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
