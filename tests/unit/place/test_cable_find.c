/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cable from one device of a plan to one of its receivers, in every build. */
#include "support/check.h"

#include "support/nomem.h"
#include "support/plans.h"

/*  y 4 +-----------+-----------+   panel at 1,2 - far at 9.5,2: one wall at x = 5.3 to drill
 *      |           |  +=====+  |   caged at 8,3 in a box of glass from floor to ceiling (7 to 9, 2.4 to 3.6)
 *    0 +-----------+-----------+   x 0 to 11 */
static const char PLAN[] =
    "plan 1\nband 868.30MHz\n" TEST_MATERIALS "radio hub erp=13dBm sensitivity=-106dBm\nradio sensor erp=7dBm\n"
    "cost cable=1 across=1.5 wall=4 point=12.5\n"
    "storey g level=0m height=2.5m\n"
    "wall thick 0,0 11,0 11,4 0,4 0,0\nwall thick 5.3,0 5.3,4\n"
    "wall thin 7,2.4 9,2.4 9,3.6 7,3.6 7,2.4\n"
    "window 7,2.4 9,2.4 material=pane sill=0m head=2.5m\n"
    "window 9,2.4 9,3.6 material=pane sill=0m head=2.5m\n"
    "window 9,3.6 7,3.6 material=pane sill=0m head=2.5m\n"
    "window 7,3.6 7,2.4 material=pane sill=0m head=2.5m\n"
    "receiver panel 1,2 at=1.4m radio=hub\n"
    "receiver spare 9.5,1 at=2.4m radio=hub\n"
    "device far contact 9.5,2 at=2.4m radio=sensor\n"
    "device caged contact 8,3 at=2.4m radio=sensor\n";

typedef struct fixture {
    earshot_plan *plan;
    earshot_site *site;
} fixture;

static int start(void **state)
{
    static fixture f;
    f.plan = plan_of(PLAN);
    f.site = site_of(f.plan, NULL);
    *state = &f;
    return 0;
}

static int end(void **state)
{
    fixture *f = *state;
    earshot_site_free(f->site);
    earshot_plan_free(f->plan);
    return 0;
}

static void the_way_is_drilled_and_fed(void **state)
{
    const fixture *f = *state;
    earshot_cable c;
    assert_int_equal(earshot_cable_find(f->site, 0, device_named(f->plan, "far"), &c), EARSHOT_OK);
    assert_int_equal(c.walls, 1);
    assert_int_equal(c.slabs, 0);
    assert_int_equal(c.n_elements, 1);
    assert_int_equal(earshot_site_element(f->site, c.element[0]).statement, 1);
    /* From 1.4 m up to 2.4 m below the ceiling, and 8.5 m across; by the walls it would be 4 m more. */
    check_close(c.length_m, 9.5, 0.6, "m");
    assert_true(c.cost > 12.5 + 4.0 + 9.0 && c.cost < 12.5 + 4.0 + 1.5 * 10.5);
    check_close(c.point[0].z_m, 1.4, 0.0, "m");
    check_close(c.point[c.n_points - 1].x_m, 9.5, 0.0, "m");
    assert_true(c.serves);
    assert_true(c.far_v < 10.5 && c.far_v > 10.49); /* a contact is a loop of 1 mA */
    earshot_cable_clear(&c);
    assert_int_equal(c.n_points, 0);
}

static void the_receiver_asked_for_counts(void **state)
{
    const fixture *f = *state;
    earshot_cable c;
    assert_int_equal(earshot_cable_find(f->site, 1, device_named(f->plan, "far"), &c), EARSHOT_OK);
    assert_int_equal(c.walls, 0);
    check_close(c.length_m, 1.0, 0.6, "m");
    earshot_cable_clear(&c);
}

static void glass_all_around_lets_no_cable_through(void **state)
{
    const fixture *f = *state;
    earshot_cable c;
    assert_int_equal(earshot_cable_find(f->site, 0, device_named(f->plan, "caged"), &c), EARSHOT_OK);
    assert_int_equal(c.n_points, 0);
    assert_null(c.point);
}

static void what_is_not_in_the_plan_is_refused(void **state)
{
    const fixture *f = *state;
    earshot_cable c = {.n_points = 3};
    assert_int_equal(earshot_cable_find(f->site, 2, 0, &c), EARSHOT_ARGUMENT);
    assert_int_equal(c.n_points, 0);
    assert_int_equal(earshot_cable_find(f->site, 0, 2, &c), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_cable_find(NULL, 0, 0, &c), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_cable_find(f->site, 0, 0, NULL), EARSHOT_ARGUMENT);
    earshot_cable_clear(NULL);
}

static void memory_that_runs_out_is_told(void **state)
{
    const fixture *f = *state;
    for (long n = 0;; n++) {
        earshot_cable c;
        fail_one_allocation(n);
        const earshot_status status = earshot_cable_find(f->site, 0, 0, &c);
        const bool failed = allocation_failed();
        fail_allocation(-1);
        assert_int_equal(status, failed ? EARSHOT_MEMORY : EARSHOT_OK);
        assert_true(failed == (c.n_points == 0));
        earshot_cable_clear(&c);
        if (!failed) break;
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_way_is_drilled_and_fed),
        cmocka_unit_test(the_receiver_asked_for_counts),
        cmocka_unit_test(glass_all_around_lets_no_cable_through),
        cmocka_unit_test(what_is_not_in_the_plan_is_refused),
        cmocka_unit_test(memory_that_runs_out_is_told),
    };
    return cmocka_run_group_tests(tests, start, end);
}
