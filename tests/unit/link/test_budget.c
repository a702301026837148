/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The link budget, worked by hand, and laws that it must keep. */
#include "support/check.h"

#include <string.h>

#include "earshot/link.h"

static const double F_HZ = 868.3e6;
static const earshot_need NEED = {6.0, 0.95};

typedef struct ends {
    earshot_radio contact, hub;
    earshot_station device, receiver;
    earshot_loss loss;
} ends;

/* Two two-way radios; tests change what they are about. */
static void set_up(ends *e)
{
    *e = (ends){0};
    e->contact = (earshot_radio){.name = "contact",
                                 .band_hz = (double)NAN,
                                 .erp_dbm = 7.4,
                                 .gain_dbi = -4.2,
                                 .sensitivity_dbm = -103.7,
                                 .two_way = true,
                                 .bandwidth_hz = (double)NAN,
                                 .noise_figure_db = (double)NAN,
                                 .snr_db = (double)NAN};
    e->hub = e->contact;
    e->hub.name = "hub";
    e->hub.erp_dbm = 13.1;
    e->hub.gain_dbi = 1.3;
    e->hub.sensitivity_dbm = -108.6;
    e->device = (earshot_station){.at = {3.1, 4.7, 1.9}, .radio = &e->contact, .mounting_db = 1.9, .body_db = 5.5};
    e->receiver = (earshot_station){.at = {17.2, 9.3, 1.6}, .radio = &e->hub, .mounting_db = 0.6};
    e->loss = (earshot_loss){.distance_m = 14.8,
                             .free_space_db = 54.63,
                             .loss_db = 83.27,
                             .material_sigma_db = 3.1,
                             .model_sigma_db = 4.7,
                             .rice_k = 0.0};
}

static earshot_link judge(const ends *e, earshot_need need)
{
    earshot_link link;
    memset(&link, 0x5a, sizeof link);
    assert_int_equal(earshot_link_judge(&e->device, &e->receiver, &e->loss, F_HZ, need, &link), EARSHOT_OK);
    return link;
}

/* Out:  7.4 + 2.15 = 9.55 dBm EIRP; + 1.3 - 83.27 - 1.9 - 0.6 - 5.5 = -80.42 dBm; + 108.6 = 28.18 dB.
 * Back: 13.1 + 2.15 = 15.25 dBm;   - 4.2 - 83.27 - 1.9 - 0.6 - 5.5 = -80.22 dBm; + 103.7 = 23.48 dB: the worse.
 * Fading 12.8994 dB (Rayleigh, 95 %); sqrt(3.1^2 + 4.7^2) = 5.6303 dB, times 1.644854 = 9.2610 dB;
 * sqrt(12.8994^2 + 9.2610^2) = 15.8796 dB; 23.48 - 15.8796 = 7.6004, so 7.60 dB. */
static void test_by_hand_in_both_directions(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    const earshot_link link = judge(&e, NEED);
    assert_true(link.out.used && link.back.used);
    check_close(link.out.eirp_dbm, 9.55, 1e-9, "dBm");
    check_close(link.out.level_dbm, -80.42, 1e-9, "dBm");
    check_close(link.out.threshold_dbm, -108.6, 0.0, "dBm");
    check_close(link.out.margin_db, 28.18, 1e-9, "dB");
    check_close(link.back.eirp_dbm, 15.25, 1e-9, "dBm");
    check_close(link.back.gain_dbi, -4.2, 0.0, "dBi");
    check_close(link.back.level_dbm, -80.22, 1e-9, "dBm");
    check_close(link.back.margin_db, 23.48, 1e-9, "dB");
    check_close(link.margin_db, 23.48, 1e-9, "dB");
    check_close(link.mounting_db, 2.5, 1e-9, "dB");
    check_close(link.body_db, 5.5, 1e-9, "dB");
    check_close(link.uncertainty_db, 5.6303, 5e-5, "dB");
    check_close(link.fading_db, 12.8994, 5e-5, "dB");
    check_close(link.allowance_db, 15.8796, 1e-4, "dB");
    check_close(link.dependable_db, 7.60, 1e-9, "dB");
    assert_true(link.meets);
}

/* Which of the two is the device must not matter to the worse direction. */
static void test_swapped_ends_give_the_same_link(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    const earshot_link link = judge(&e, NEED);
    const earshot_station device = e.device;
    e.device = e.receiver;
    e.receiver = device;
    const earshot_link swapped = judge(&e, NEED);
    check_close(swapped.out.margin_db, link.back.margin_db, 0.0, "dB");
    check_close(swapped.back.margin_db, link.out.margin_db, 0.0, "dB");
    check_close(swapped.dependable_db, link.dependable_db, 0.0, "dB");
}

static void test_one_way_is_judged_on_the_way_out(void **state)
{
    (void)state;
    for (int one_way = 0; one_way < 3; one_way++) {
        ends e;
        set_up(&e);
        if (one_way == 0) e.contact.two_way = false;
        if (one_way == 1) e.hub.two_way = false;
        if (one_way == 2) e.contact.sensitivity_dbm = (double)NAN;
        const earshot_link link = judge(&e, NEED);
        assert_true(link.out.used);
        assert_false(link.back.used);
        check_close(link.margin_db, 28.18, 1e-9, "dB");
    }
}

static void test_a_device_that_only_listens_is_judged_on_the_way_back(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    e.contact.erp_dbm = (double)NAN;
    e.contact.two_way = false;
    const earshot_link link = judge(&e, NEED);
    assert_false(link.out.used);
    assert_true(link.back.used);
    check_close(link.margin_db, 23.48, 1e-9, "dB");
}

static void test_noise_above_sensitivity_sets_the_threshold(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    e.contact.two_way = false;
    e.hub.bandwidth_hz = 117e3;
    e.hub.noise_figure_db = 7.4;
    e.hub.snr_db = 10.9; /* -115.893 + 10.9 = -104.993 dBm, above -108.6 */
    e.hub.noise = EARSHOT_NOISE_NONE;
    const earshot_link link = judge(&e, NEED);
    check_close(link.out.noise_dbm, -115.893, 5e-4, "dBm");
    check_close(link.margin_db, 24.57, 1e-9, "dB"); /* -80.42 + 104.993 */
    assert_false(link.out.noise_extrapolated);
    e.hub.noise = EARSHOT_NOISE_RESIDENTIAL;
    assert_true(judge(&e, NEED).out.noise_extrapolated);
}

/* The loss holds the patterns of stated antennas relative to isotropic; ERP and gain hold their best directions. In its
 * best direction a half-wave dipole (2.148 dBi) must therefore leave the margin as with antennas not stated. */
static void test_best_direction_is_not_counted_twice(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    const double plain_db = judge(&e, NEED).margin_db;
    e.contact.antenna = EARSHOT_ANTENNA_DIPOLE_VERTICAL;
    e.hub.antenna = EARSHOT_ANTENNA_VERTICAL;
    e.loss.loss_db -= 10.0 * log10(1.64) + 10.0 * log10(1.5);
    const earshot_link link = judge(&e, NEED);
    check_close(link.pattern_db, 2.1484 + 1.7609, 1e-4, "dB");
    check_close(link.margin_db, plain_db, 1e-9, "dB");
}

static void test_meets_is_judged_on_rounded_margins(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    const double dependable_db = judge(&e, NEED).dependable_db;
    assert_true(judge(&e, (earshot_need){dependable_db, 0.95}).meets);
    assert_false(judge(&e, (earshot_need){dependable_db + 0.01, 0.95}).meets);
    assert_true(judge(&e, (earshot_need){7.60, 0.95}).meets);
}

static void test_more_confidence_never_raises_what_can_be_depended_on(void **state)
{
    (void)state;
    const double ks[] = {0.0, 0.31, 4.7, 93.0, 1e6, (double)INFINITY};
    for (size_t i = 0; i < sizeof ks / sizeof ks[0]; i++) {
        ends e;
        set_up(&e);
        e.loss.rice_k = ks[i];
        double before_db = (double)INFINITY;
        for (double confidence = 0.5; confidence <= 0.9999; confidence += 0.00973) {
            const double dependable_db = judge(&e, (earshot_need){6.0, confidence}).dependable_db;
            assert_true(dependable_db <= before_db);
            before_db = dependable_db;
        }
    }
}

static void test_more_doubt_never_raises_what_can_be_depended_on(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    double before_db = (double)INFINITY;
    for (double sigma_db = 0.0; sigma_db < 12.0; sigma_db += 0.37) {
        e.loss.material_sigma_db = sigma_db;
        const double dependable_db = judge(&e, NEED).dependable_db;
        assert_true(dependable_db <= before_db);
        before_db = dependable_db;
    }
}

static void test_certain_and_constant_needs_no_allowance(void **state)
{
    (void)state;
    ends e;
    set_up(&e);
    e.loss.material_sigma_db = e.loss.model_sigma_db = 0.0;
    e.loss.rice_k = 1e6;
    const earshot_link link = judge(&e, NEED);
    check_close(link.dependable_db, link.margin_db, 0.011, "dB");
}

typedef void spoil(ends *e, earshot_need *need, double *frequency_hz);

static void spoil_loss(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->loss.loss_db = (double)NAN;
}
static void spoil_sigma(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->loss.material_sigma_db = -0.1;
}
static void spoil_rice(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->loss.rice_k = (double)NAN;
}
static void spoil_mounting(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->device.mounting_db = (double)NAN;
}
static void spoil_body(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->receiver.body_db = (double)INFINITY;
}
static void spoil_power(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->contact.erp_dbm = (double)INFINITY;
}
static void spoil_gain(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->hub.gain_dbi = (double)NAN;
}
static void spoil_snr(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->hub.bandwidth_hz = 25e3;
    e->hub.noise_figure_db = 7.0;
    e->hub.snr_db = (double)INFINITY;
}
static void spoil_need(ends *e, earshot_need *need, double *f)
{
    (void)e, (void)f;
    need->margin_db = (double)NAN;
}
static void spoil_low_confidence(ends *e, earshot_need *need, double *f)
{
    (void)e, (void)f;
    need->confidence = 0.49;
}
static void spoil_high_confidence(ends *e, earshot_need *need, double *f)
{
    (void)e, (void)f;
    need->confidence = 0.99995;
}
static void spoil_confidence(ends *e, earshot_need *need, double *f)
{
    (void)e, (void)f;
    need->confidence = (double)NAN;
}
static void spoil_frequency(ends *e, earshot_need *need, double *f)
{
    (void)e, (void)need;
    *f = (double)NAN;
}
static void spoil_radio(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->device.radio = NULL;
}
static void spoil_both_ways(ends *e, earshot_need *need, double *f)
{
    (void)need, (void)f;
    e->contact.erp_dbm = e->contact.sensitivity_dbm = (double)NAN;
}

static void test_refuses_and_leaves_the_output_alone(void **state)
{
    (void)state;
    spoil *const spoils[] = {spoil_loss,      spoil_sigma,           spoil_rice,     spoil_mounting,
                             spoil_body,      spoil_power,           spoil_gain,     spoil_snr,
                             spoil_need,      spoil_low_confidence,  spoil_radio,    spoil_confidence,
                             spoil_frequency, spoil_high_confidence, spoil_both_ways};
    for (size_t i = 0; i < sizeof spoils / sizeof spoils[0]; i++) {
        ends e;
        earshot_need need = NEED;
        double frequency_hz = F_HZ;
        earshot_link link, untouched;
        set_up(&e);
        memset(&link, 0x5a, sizeof link);
        memcpy(&untouched, &link, sizeof link);
        spoils[i](&e, &need, &frequency_hz);
        assert_int_equal(earshot_link_judge(&e.device, &e.receiver, &e.loss, frequency_hz, need, &link),
                         EARSHOT_ARGUMENT);
        assert_memory_equal(&link, &untouched, sizeof link);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_by_hand_in_both_directions),
        cmocka_unit_test(test_swapped_ends_give_the_same_link),
        cmocka_unit_test(test_one_way_is_judged_on_the_way_out),
        cmocka_unit_test(test_a_device_that_only_listens_is_judged_on_the_way_back),
        cmocka_unit_test(test_noise_above_sensitivity_sets_the_threshold),
        cmocka_unit_test(test_best_direction_is_not_counted_twice),
        cmocka_unit_test(test_meets_is_judged_on_rounded_margins),
        cmocka_unit_test(test_more_confidence_never_raises_what_can_be_depended_on),
        cmocka_unit_test(test_more_doubt_never_raises_what_can_be_depended_on),
        cmocka_unit_test(test_certain_and_constant_needs_no_allowance),
        cmocka_unit_test(test_refuses_and_leaves_the_output_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
