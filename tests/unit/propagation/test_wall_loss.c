/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The loss of one material at normal incidence, and how it is known. */
#include "support/check.h"

#include <stdbool.h>

#include "propagation/material.h"

static const double F868 = 868.30e6;

/* From 1 GHz, as nearly all classes of ITU-R P.2040 are. */
static const es_layer BRICK = {.a = 3.91, .c = 0.0238, .d = 0.16, .from_hz = 1e9, .to_hz = 40e9, .thickness_m = 0.115};
static const es_layer WOOD = {.a = 1.99, .c = 0.0047, .d = 1.0718, .from_hz = 1e6, .to_hz = 100e9, .thickness_m = 0.04};
static const es_layer METAL = {.a = 1.0, .c = 1e7, .thickness_m = 0.001, .conductor = true};
static const earshot_loss_entry TABLE[] = {{433e6, 11.3}, {868e6, 16.9}, {2450e6, 14.2}};

static double loss_db(const es_material *material, double frequency_hz, earshot_basis expected)
{
    earshot_basis basis = EARSHOT_BASIS_UNSTATED;
    const double db = es_material_loss_db(material, frequency_hz, &basis);
    assert_int_equal(basis, expected);
    return db;
}

static void layers_inside_their_range_are_computed(void **state)
{
    (void)state;
    const es_material door = {.layer = &WOOD, .n_layers = 1, .thickness_m = 0.04};
    check_close(loss_db(&door, F868, EARSHOT_BASIS_COMPUTED), 0.58, 0.00501, "dB");
}

static void layers_outside_their_range_are_extrapolated(void **state)
{
    (void)state;
    const es_layer both[] = {WOOD, BRICK};
    const es_material wall = {.layer = &BRICK, .n_layers = 1, .thickness_m = 0.115};
    const es_material mixed = {.layer = both, .n_layers = 2, .thickness_m = 0.155};
    check_close(loss_db(&wall, F868, EARSHOT_BASIS_EXTRAPOLATED), 3.53, 0.00501, "dB");
    loss_db(&wall, 1e9, EARSHOT_BASIS_COMPUTED);
    loss_db(&wall, 41e9, EARSHOT_BASIS_EXTRAPOLATED);
    loss_db(&mixed, F868, EARSHOT_BASIS_EXTRAPOLATED);
    loss_db(&mixed, 2.45e9, EARSHOT_BASIS_COMPUTED);
}

static void a_class_without_a_range_is_computed(void **state)
{
    (void)state;
    es_layer own = BRICK;
    own.from_hz = own.to_hz = NAN;
    const es_material wall = {.layer = &own, .n_layers = 1, .thickness_m = 0.115};
    loss_db(&wall, F868, EARSHOT_BASIS_COMPUTED);
}

static void judged_layers_stay_a_judgement(void **state)
{
    (void)state;
    const es_material wall = {.layer = &BRICK, .n_layers = 1, .thickness_m = 0.115, .basis = EARSHOT_BASIS_JUDGEMENT};
    check_close(loss_db(&wall, F868, EARSHOT_BASIS_JUDGEMENT), 3.53, 0.00501, "dB");
}

static void the_table_goes_before_the_layers(void **state)
{
    (void)state;
    const es_material wall = {.layer = &BRICK,
                              .n_layers = 1,
                              .thickness_m = 0.115,
                              .loss = TABLE,
                              .n_losses = 3,
                              .basis = EARSHOT_BASIS_MEASURED};
    check_close(loss_db(&wall, 868e6, EARSHOT_BASIS_MEASURED), 16.9, 1e-12, "dB");
    check_close(loss_db(&wall, 433e6, EARSHOT_BASIS_MEASURED), 11.3, 1e-12, "dB");
    check_close(loss_db(&wall, 2450e6, EARSHOT_BASIS_MEASURED), 14.2, 1e-12, "dB");
}

static void between_entries_a_line_in_log_frequency(void **state)
{
    (void)state;
    const es_material wall = {.loss = TABLE, .n_losses = 3, .basis = EARSHOT_BASIS_PUBLISHED};
    /* Half way in log frequency lies the geometric mean. */
    check_close(loss_db(&wall, sqrt(433e6 * 868e6), EARSHOT_BASIS_PUBLISHED), (11.3 + 16.9) / 2.0, 1e-12, "dB");
    check_close(loss_db(&wall, sqrt(868e6 * 2450e6), EARSHOT_BASIS_PUBLISHED), (16.9 + 14.2) / 2.0, 1e-12, "dB");
}

static void flat_beyond_the_ends_and_no_longer_known(void **state)
{
    (void)state;
    const es_material wall = {.loss = TABLE, .n_losses = 3, .basis = EARSHOT_BASIS_MEASURED};
    check_close(loss_db(&wall, 390e6, EARSHOT_BASIS_MEASURED), 11.3, 1e-12, "dB");
    check_close(loss_db(&wall, 171e6, EARSHOT_BASIS_EXTRAPOLATED), 11.3, 1e-12, "dB");
    check_close(loss_db(&wall, 5.7e9, EARSHOT_BASIS_EXTRAPOLATED), 14.2, 1e-12, "dB");
    const es_material judged = {.loss = TABLE, .n_losses = 3, .basis = EARSHOT_BASIS_JUDGEMENT};
    check_close(loss_db(&judged, 5.7e9, EARSHOT_BASIS_JUDGEMENT), 14.2, 1e-12, "dB");
}

static void one_entry_holds_for_all_frequencies(void **state)
{
    (void)state;
    const earshot_loss_entry entry = {868e6, 4.37};
    const es_material wall = {.loss = &entry, .n_losses = 1, .basis = EARSHOT_BASIS_MEASURED};
    check_close(loss_db(&wall, 868.3e6, EARSHOT_BASIS_MEASURED), 4.37, 0.0, "dB");
    check_close(loss_db(&wall, 433e6, EARSHOT_BASIS_EXTRAPOLATED), 4.37, 0.0, "dB");
}

static void what_nothing_passes_is_still_a_number(void **state)
{
    (void)state;
    const es_material sheet = {.layer = &METAL, .n_layers = 1, .thickness_m = 0.001};
    check_close(loss_db(&sheet, F868, EARSHOT_BASIS_JUDGEMENT), 30.0, 0.0, "dB");
    es_layer earth = BRICK;
    earth.thickness_m = 300.0;
    const es_material hill = {.layer = &earth, .n_layers = 1, .thickness_m = 300.0};
    check_close(loss_db(&hill, F868, EARSHOT_BASIS_EXTRAPOLATED), 200.0, 0.0, "dB");
}

static void nobody_need_ask_for_the_basis(void **state)
{
    (void)state;
    const es_material door = {.layer = &WOOD, .n_layers = 1, .thickness_m = 0.04};
    const es_material nothing = {0};
    check_close(es_material_loss_db(&door, F868, NULL), 0.58, 0.00501, "dB");
    check_close(es_material_loss_db(&nothing, F868, NULL), 0.0, 0.0, "dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layers_inside_their_range_are_computed),
        cmocka_unit_test(layers_outside_their_range_are_extrapolated),
        cmocka_unit_test(a_class_without_a_range_is_computed),
        cmocka_unit_test(judged_layers_stay_a_judgement),
        cmocka_unit_test(the_table_goes_before_the_layers),
        cmocka_unit_test(between_entries_a_line_in_log_frequency),
        cmocka_unit_test(flat_beyond_the_ends_and_no_longer_known),
        cmocka_unit_test(one_entry_holds_for_all_frequencies),
        cmocka_unit_test(what_nothing_passes_is_still_a_number),
        cmocka_unit_test(nobody_need_ask_for_the_basis),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
