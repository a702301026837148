/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The link module against published figures. The figures marked "computed" are worked from a published formula, so that
 * they check our arithmetic and not the formula's truth. */
#include "support/check.h"

#include "earshot/link.h"

/* Fade margins below the mean power, two decimals, 90 / 95 / 99 / 99.9 %: computed from the exponential (Rayleigh) and
 * noncentral chi-square (Rice) distributions of power, separately from our code. Rayleigh by hand: -10 log10(-ln
 * 0.99) = 19.98. */
typedef struct margins {
    double rice_k_db; /* -INFINITY: Rayleigh */
    double db[4];
} margins;

static void test_fade_margins_of_rayleigh_and_rice(void **state)
{
    (void)state;
    static const double confidence[4] = {0.90, 0.95, 0.99, 0.999};
    const margins table[] = {
        {-(double)INFINITY, {9.77, 12.90, 19.98, 30.00}},
        {0.0, {8.64, 11.67, 18.67, 28.67}},
        {3.0, {7.03, 9.69, 16.25, 26.11}},
        {6.0, {5.02, 6.86, 11.55, 20.00}},
        {10.0, {3.00, 3.98, 6.18, 9.52}},
        {12.0, {2.31, 3.04, 4.60, 6.75}},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
        for (size_t j = 0; j < 4; j++)
            check_close(earshot_fading_depth_db(pow(10.0, table[i].rice_k_db / 10.0), confidence[j]), table[i].db[j],
                        0.01, "dB");
}

/* The same table's row for Rayleigh below its own median. */
static void test_rayleigh_below_the_median(void **state)
{
    (void)state;
    static const double confidence[4] = {0.90, 0.95, 0.99, 0.999}, below_db[4] = {8.18, 11.31, 18.39, 28.41};
    const double median_db = earshot_fading_depth_db(0.0, 0.5);
    for (size_t j = 0; j < 4; j++)
        check_close(earshot_fading_depth_db(0.0, confidence[j]) - median_db, below_db[j], 0.01, "dB");
}

/* Log-normal margin k sigma: k = 1.282, 1.645, 2.326, 3.090 at 90, 95, 99, 99.9 % (any table of the normal
 * distribution). Seen through the allowance of a link that does not fade: K of a million leaves 0.02 dB at most. */
static void test_log_normal_margins(void **state)
{
    (void)state;
    static const double confidence[4] = {0.90, 0.95, 0.99, 0.999}, k[4] = {1.2816, 1.6449, 2.3263, 3.0902};
    const earshot_radio radio = {.name = "any",
                                 .erp_dbm = 10.0,
                                 .sensitivity_dbm = -104.0,
                                 .bandwidth_hz = (double)NAN,
                                 .noise_figure_db = (double)NAN};
    const earshot_station end = {.radio = &radio};
    const earshot_loss loss = {.loss_db = 70.0, .material_sigma_db = 3.7, .model_sigma_db = 4.9, .rice_k = 1e6};
    for (size_t j = 0; j < 4; j++) {
        earshot_link link;
        assert_int_equal(earshot_link_judge(&end, &end, &loss, 868.3e6, (earshot_need){6.0, confidence[j]}, &link),
                         EARSHOT_OK);
        check_close(link.allowance_db, k[j] * sqrt(3.7 * 3.7 + 4.9 * 4.9), 0.001, "dB");
    }
}

/* k T0 B at 290 K, computed: 16 kHz -131.9, 25 kHz -130.0, 100 kHz -124.0, 200 kHz -121.0 dBm. */
static void test_thermal_noise(void **state)
{
    (void)state;
    static const double bandwidth_hz[4] = {16e3, 25e3, 100e3, 200e3}, dbm[4] = {-131.9, -130.0, -124.0, -121.0};
    for (size_t j = 0; j < 4; j++) {
        const earshot_radio radio = {.bandwidth_hz = bandwidth_hz[j], .noise_figure_db = 0.0};
        check_close(earshot_noise_floor_dbm(&radio, 868.3e6), dbm[j], 0.05, "dBm");
    }
}

/* Sensitivity of non-coherent FSK: -174 + 10 log B + figure + 10.9 dB (bit error rate 1e-3 from 0.5 exp(-Eb/2N0);
 * textbook, from memory). Computed, figures 6 / 8 / 12 dB: 25 kHz -113 / -111 / -107; 100 kHz -107 / -105 / -101;
 * 200 kHz -104 / -102 / -98 dBm. */
static void test_thresholds_of_common_receivers(void **state)
{
    (void)state;
    static const double bandwidth_hz[3] = {25e3, 100e3, 200e3}, figure_db[3] = {6.0, 8.0, 12.0};
    static const double dbm[3][3] = {{-113, -111, -107}, {-107, -105, -101}, {-104, -102, -98}};
    for (size_t i = 0; i < 3; i++) {
        for (size_t j = 0; j < 3; j++) {
            const earshot_radio radio = {.bandwidth_hz = bandwidth_hz[i],
                                         .noise_figure_db = figure_db[j],
                                         .snr_db = 10.9,
                                         .sensitivity_dbm = -150.0};
            check_close(earshot_threshold_dbm(&radio, 868.3e6), dbm[i][j], 0.5, "dBm");
        }
    }
}

/* ITU-R P.372 man-made noise above k T0 B, computed from the coefficients that a public program for P.372-17 holds: at
 * 433.92 / 868.30 MHz city 3.74 / -4.60, residential -0.56 / -8.90, rural -5.86 / -14.20 dB. Quiet rural (53.6, 28.6)
 * by hand: 53.6 - 28.6 x 2.63741 = -21.83; 53.6 - 28.6 x 2.93867 = -30.45 dB. */
static void test_man_made_noise(void **state)
{
    (void)state;
    static const earshot_noise noise[4] = {EARSHOT_NOISE_CITY, EARSHOT_NOISE_RESIDENTIAL, EARSHOT_NOISE_RURAL,
                                           EARSHOT_NOISE_QUIET};
    static const double db[4][2] = {{3.74, -4.60}, {-0.56, -8.90}, {-5.86, -14.20}, {-21.83, -30.45}};
    for (size_t i = 0; i < 4; i++) {
        check_close(earshot_noise_man_made_db(noise[i], 433.92e6), db[i][0], 0.01, "dB");
        check_close(earshot_noise_man_made_db(noise[i], 868.30e6), db[i][1], 0.01, "dB");
    }
}

/* EIRP = ERP + 2.15 dB: the half-wave dipole's gain of 1.64 is 2.148 dB. European limits are stated as ERP: 25 mW ERP
 * (868.0 to 868.6 MHz) is 13.98 dBm ERP, 16.13 dBm EIRP = 41 mW. */
static void test_erp_and_eirp(void **state)
{
    (void)state;
    check_close(EARSHOT_DIPOLE_DB, 10.0 * log10(1.64), 0.005, "dB");
    const earshot_radio radio = {.name = "any",
                                 .erp_dbm = 10.0 * log10(25.0),
                                 .sensitivity_dbm = -104.0,
                                 .bandwidth_hz = (double)NAN,
                                 .noise_figure_db = (double)NAN};
    const earshot_station end = {.radio = &radio};
    const earshot_loss loss = {.loss_db = 70.0};
    earshot_link link;
    assert_int_equal(earshot_link_judge(&end, &end, &loss, 868.3e6, (earshot_need){6.0, 0.9}, &link), EARSHOT_OK);
    check_close(pow(10.0, link.out.eirp_dbm / 10.0), 41.0, 0.05, "mW");
}

/* A whole budget by hand, in free space (ITU-R P.525: 51.22 dB at 10 m and 868.30 MHz): 10 dBm ERP = 12.15 dBm EIRP,
 * gain -4 dBi, so -43.07 dBm; against -104 dBm a margin of 60.93 dB. */
static void test_budget_in_free_space(void **state)
{
    (void)state;
    const double free_db = earshot_free_space_db(10.0, 868.3e6);
    const earshot_radio from = {.name = "contact",
                                .erp_dbm = 10.0,
                                .sensitivity_dbm = (double)NAN,
                                .bandwidth_hz = (double)NAN,
                                .noise_figure_db = (double)NAN};
    earshot_radio to = from;
    to.gain_dbi = -4.0;
    to.sensitivity_dbm = -104.0;
    const earshot_station device = {.radio = &from}, receiver = {.radio = &to};
    const earshot_loss loss = {.distance_m = 10.0, .free_space_db = free_db, .loss_db = free_db};
    earshot_link link;
    assert_int_equal(earshot_link_judge(&device, &receiver, &loss, 868.3e6, (earshot_need){6.0, 0.9}, &link),
                     EARSHOT_OK);
    check_close(link.out.level_dbm, -43.07, 0.01, "dBm");
    check_close(link.margin_db, 60.93, 0.01, "dB");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fade_margins_of_rayleigh_and_rice),
        cmocka_unit_test(test_rayleigh_below_the_median),
        cmocka_unit_test(test_log_normal_margins),
        cmocka_unit_test(test_thermal_noise),
        cmocka_unit_test(test_thresholds_of_common_receivers),
        cmocka_unit_test(test_man_made_noise),
        cmocka_unit_test(test_erp_and_eirp),
        cmocka_unit_test(test_budget_in_free_space),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
