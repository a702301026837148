/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Noise floors and thresholds. The published figures stand in tests/reference/ref_link.c. */
#include "support/check.h"

#include "earshot/link.h"

static earshot_radio radio_of(double bandwidth_hz, double figure_db, double snr_db, double sensitivity_dbm)
{
    return (earshot_radio){.name = "contact",
                           .band_hz = (double)NAN,
                           .erp_dbm = 9.3,
                           .gain_dbi = -3.7,
                           .sensitivity_dbm = sensitivity_dbm,
                           .bandwidth_hz = bandwidth_hz,
                           .noise_figure_db = figure_db,
                           .snr_db = snr_db};
}

/* 10 log10(1.380649e-23 x 290 x 117e3 x 1000) = -123.293 dBm; 7.4 dB on it. */
static void test_floor_is_thermal_noise_and_figure(void **state)
{
    (void)state;
    const earshot_radio r = radio_of(117e3, 7.4, 10.9, -104.2);
    check_close(earshot_noise_floor_dbm(&r, 868.3e6), -115.893, 5e-4, "dBm");
}

/* City at 433.92 MHz: 76.8 - 27.7 log10(433.92) = 3.7406 dB, 2.3662 as a ratio; figure 7.4 dB, 5.4954. Together 7.8616,
 * 8.9551 dB above -123.293 dBm. */
static void test_man_made_noise_is_added_as_power(void **state)
{
    (void)state;
    earshot_radio r = radio_of(117e3, 7.4, 10.9, -104.2);
    r.noise = EARSHOT_NOISE_CITY;
    check_close(earshot_noise_floor_dbm(&r, 433.92e6), -114.338, 1e-3, "dBm");
}

static void test_noise_never_falls_where_machines_are(void **state)
{
    (void)state;
    earshot_radio r = radio_of(25e3, 8.1, 10.9, -104.2);
    const double alone_dbm = earshot_noise_floor_dbm(&r, 868.3e6);
    for (earshot_noise n = EARSHOT_NOISE_CITY; n <= EARSHOT_NOISE_QUIET; n++) {
        r.noise = n;
        assert_true(earshot_noise_floor_dbm(&r, 868.3e6) > alone_dbm);
    }
}

static void test_not_stated_is_not_a_number(void **state)
{
    (void)state;
    earshot_radio r = radio_of((double)NAN, 7.4, 10.9, -104.2);
    assert_true(isnan(earshot_noise_floor_dbm(&r, 868.3e6)));
    check_close(earshot_threshold_dbm(&r, 868.3e6), -104.2, 0.0, "dBm");
    r = radio_of(117e3, (double)NAN, 10.9, -104.2);
    assert_true(isnan(earshot_noise_floor_dbm(&r, 868.3e6)));
    check_close(earshot_threshold_dbm(&r, 868.3e6), -104.2, 0.0, "dBm");
    r = radio_of(117e3, 7.4, (double)NAN, -104.2);
    check_close(earshot_threshold_dbm(&r, 868.3e6), -104.2, 0.0, "dBm");
}

static void test_threshold_is_the_larger_of_the_two(void **state)
{
    (void)state;
    earshot_radio r = radio_of(117e3, 7.4, 10.9, -107.3); /* noise + S/N is -104.993 dBm */
    check_close(earshot_threshold_dbm(&r, 868.3e6), -104.993, 5e-4, "dBm");
    r.sensitivity_dbm = -103.8;
    check_close(earshot_threshold_dbm(&r, 868.3e6), -103.8, 0.0, "dBm");
    r.sensitivity_dbm = (double)NAN; /* does not receive, whatever its noise */
    assert_true(isnan(earshot_threshold_dbm(&r, 868.3e6)));
}

static void test_the_stated_range_is_told(void **state)
{
    (void)state;
    assert_false(earshot_noise_extrapolated(EARSHOT_NOISE_NONE, 868.3e6));
    assert_false(earshot_noise_extrapolated(EARSHOT_NOISE_CITY, 868.3e6));
    assert_true(earshot_noise_extrapolated(EARSHOT_NOISE_CITY, 901e6));
    assert_true(earshot_noise_extrapolated(EARSHOT_NOISE_RESIDENTIAL, 433.92e6));
    assert_false(earshot_noise_extrapolated(EARSHOT_NOISE_RESIDENTIAL, 169.4e6));
    assert_true(earshot_noise_extrapolated(EARSHOT_NOISE_RURAL, 251e6));
    assert_true(earshot_noise_extrapolated(EARSHOT_NOISE_QUIET, 0.29e6));
}

static void test_out_of_range_arguments(void **state)
{
    (void)state;
    assert_true(isnan(earshot_noise_man_made_db((earshot_noise)99, 868.3e6)));
    assert_true(isnan(earshot_noise_man_made_db(EARSHOT_NOISE_CITY, 0.0)));
    assert_true(isnan(earshot_noise_man_made_db(EARSHOT_NOISE_CITY, (double)NAN)));
    assert_true(isinf(earshot_noise_man_made_db(EARSHOT_NOISE_NONE, 868.3e6)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_floor_is_thermal_noise_and_figure),
        cmocka_unit_test(test_man_made_noise_is_added_as_power),
        cmocka_unit_test(test_noise_never_falls_where_machines_are),
        cmocka_unit_test(test_not_stated_is_not_a_number),
        cmocka_unit_test(test_threshold_is_the_larger_of_the_two),
        cmocka_unit_test(test_the_stated_range_is_told),
        cmocka_unit_test(test_out_of_range_arguments),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
