/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Conductor resistances against published IEC 60228 / DIN VDE 0295 table values and against copper itself, and worked
 * voltage drops. Supply and detector voltages, and the temperature coefficient, are from memory. */
#include "support/check.h"

#include "decide/cable.h"

static void test_table_values(void **state)
{
    (void)state;
    check_close(es_cable_ohm_per_km(0.22, ES_CONDUCTOR_SOLID), 96.0, 0.0, "ohm/km");
    check_close(es_cable_ohm_per_km(0.5, ES_CONDUCTOR_SOLID), 36.0, 0.0, "ohm/km");
    check_close(es_cable_ohm_per_km(0.5, ES_CONDUCTOR_FLEXIBLE), 39.0, 0.0, "ohm/km");
    check_close(es_cable_ohm_per_km(0.75, ES_CONDUCTOR_SOLID), 24.5, 0.0, "ohm/km");
    check_close(es_cable_ohm_per_km(0.75, ES_CONDUCTOR_FLEXIBLE), 26.0, 0.0, "ohm/km");
    check_close(es_cable_ohm_per_km(1.0, ES_CONDUCTOR_SOLID), 18.1, 0.0, "ohm/km");
    check_close(es_cable_ohm_per_km(1.0, ES_CONDUCTOR_FLEXIBLE), 19.5, 0.0, "ohm/km");
    assert_true(isnan(es_cable_ohm_per_km(0.22, ES_CONDUCTOR_FLEXIBLE)));
    assert_true(isnan(es_cable_ohm_per_km(0.6, ES_CONDUCTOR_SOLID)));
}

/* A table's largest value lies a little above that of its nominal cross-section in copper: 17.241 ohm mm2/km. 0.22 mm2
 * is made with more tolerance than the others. */
static void test_tables_lie_above_ideal_copper(void **state)
{
    (void)state;
    for (size_t i = 0; i < es_cable_sections(); i++) {
        const double section = es_cable_section_mm2(i), ideal = 17.241 / section;
        const double ratio = es_cable_ohm_per_km(section, ES_CONDUCTOR_SOLID) / ideal;
        assert_true(ratio > 1.0 && ratio < (section < 0.5 ? 1.25 : 1.10));
    }
}

static es_cable_run run_of(double length_m)
{
    return (es_cable_run){length_m, 0.060, 20.0, ES_CABLE_SUPPLY_V, ES_CABLE_DETECTOR_V, ES_CONDUCTOR_SOLID};
}

static void test_worked_drops(void **state)
{
    (void)state;
    static const double SECTION[] = {0.22, 0.5, 0.75, 1.0}, DROP_V[] = {0.461, 0.173, 0.118, 0.087};
    static const double LONGEST_M[] = {130, 347, 510, 691};
    const es_cable_run run = run_of(40.0);
    for (size_t i = 0; i < 4; i++) {
        es_cable cable;
        assert_true(es_cable_try(&run, SECTION[i], &cable));
        check_close(cable.drop_v, DROP_V[i], 0.0005, "V");
        check_close(cable.far_v, 10.5 - DROP_V[i], 0.0005, "V");
        assert_true(cable.serves);
        check_close(es_cable_longest_m(&run, SECTION[i]), LONGEST_M[i], 0.5, "m");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_table_values),
        cmocka_unit_test(test_tables_lie_above_ideal_copper),
        cmocka_unit_test(test_worked_drops),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
