/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Choosing a cross-section, temperature, and what is refused. */
#include "support/check.h"

#include "decide/cable.h"

static es_cable_run run_of(double length_m, double current_a)
{
    return (es_cable_run){length_m, current_a, 20.0, 10.5, 9.0, ES_CONDUCTOR_SOLID};
}

static void test_takes_the_smallest_that_serves(void **state)
{
    (void)state;
    es_cable cable;
    const es_cable_run near = run_of(129.0, 0.060), far = run_of(131.0, 0.060), farther = run_of(348.0, 0.060);
    assert_true(es_cable_choose(&near, 0.22, &cable));
    check_close(cable.section_mm2, 0.22, 0.0, "mm2");
    assert_true(es_cable_choose(&far, 0.22, &cable));
    check_close(cable.section_mm2, 0.5, 0.0, "mm2");
    assert_true(cable.serves);
    assert_true(es_cable_choose(&farther, 0.22, &cable));
    check_close(cable.section_mm2, 0.75, 0.0, "mm2");
    assert_true(es_cable_choose(&near, 1.0, &cable));
    check_close(cable.section_mm2, 1.0, 0.0, "mm2");
}

static void test_says_when_none_serves(void **state)
{
    (void)state;
    es_cable cable;
    const es_cable_run run = run_of(900.0, 0.4);
    assert_true(es_cable_choose(&run, 0.22, &cable));
    assert_false(cable.serves);
    check_close(cable.section_mm2, 2.5, 0.0, "mm2");
    check_close(cable.drop_v, 2.0 * 900.0 * 0.4 * 7.41 / 1000.0, 1e-12, "V");
}

static void test_flexible_starts_at_half_a_square_millimetre(void **state)
{
    (void)state;
    es_cable cable;
    es_cable_run run = run_of(12.5, 0.025);
    run.conductor = ES_CONDUCTOR_FLEXIBLE;
    assert_true(es_cable_choose(&run, 0.22, &cable));
    check_close(cable.section_mm2, 0.5, 0.0, "mm2");
    check_close(cable.ohm_per_km, 39.0, 0.0, "ohm/km");
}

static void test_warm_copper_resists_more(void **state)
{
    (void)state;
    check_close(es_cable_ohm_per_km_at(0.22, ES_CONDUCTOR_SOLID, 40.0), 96.0 * 1.0786, 1e-9, "ohm/km");
    check_close(es_cable_ohm_per_km_at(0.75, ES_CONDUCTOR_SOLID, -10.0), 24.5 * (1.0 - 0.1179), 1e-9, "ohm/km");
    assert_true(isnan(es_cable_ohm_per_km_at(0.22, ES_CONDUCTOR_SOLID, 91.0)));
    assert_true(isnan(es_cable_ohm_per_km_at(0.22, ES_CONDUCTOR_SOLID, NAN)));
}

static void test_refuses_what_cannot_be(void **state)
{
    (void)state;
    es_cable cable = {.section_mm2 = 4.75};
    es_cable_run run = run_of(NAN, 0.06);
    assert_false(es_cable_choose(&run, 0.22, &cable));
    run = run_of(10.0, -0.06);
    assert_false(es_cable_choose(&run, 0.22, &cable));
    run = run_of(10.0, 0.06);
    run.least_v = 11.0;
    assert_false(es_cable_try(&run, 0.22, &cable));
    assert_true(isnan(es_cable_longest_m(&run, 0.22)));
    run = run_of(10.0, 0.06);
    assert_false(es_cable_try(&run, 0.3, &cable));
    assert_false(es_cable_choose(&run, 4.0, &cable));
    check_close(cable.section_mm2, 4.75, 0.0, "mm2");
    assert_true(isnan(es_cable_section_mm2(99)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_takes_the_smallest_that_serves),
        cmocka_unit_test(test_says_when_none_serves),
        cmocka_unit_test(test_flexible_starts_at_half_a_square_millimetre),
        cmocka_unit_test(test_warm_copper_resists_more),
        cmocka_unit_test(test_refuses_what_cannot_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
