/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "support/plans.h"

static const char PLAN[] =
    "plan 1\nband 868.3MHz\n" TEST_MATERIALS "radio hub sensitivity=-108.6dBm\nradio pir erp=7.4dBm\n"
    "storey ground level=0m height=2.5m\nwall thin 0,0 9.3,0\n"
    "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
    "device steady movement 8.5,6.9 at=2.3m radio=pir\n"
    "device battery movement 6.5,1.9 at=2.3m radio=pir\n"
    "device shelf movement 4.5,7.9 at=2.3m radio=pir\n"
    "device once movement 2.5,7.9 at=2.3m radio=pir\n";

/* Five visits half a year apart: a battery that gives 6 dB a year, a shelf put up before the last visit. */
static const double STEADY[] = {-61.2, -59.8, -60.9, -60.1, -60.7}, BATTERY[] = {-57.3, -60.1, -63.4, -66.2, -69.1},
                    SHELF[] = {-54.7, -55.3, -54.2, -55.1, -68.4};

typedef struct bench {
    earshot_plan *plan;
    earshot_reading reading[40];
    earshot_readings readings;
    earshot_calibration *c;
    earshot_visits visits;
} bench;

static int set_up(void **state)
{
    bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
    b->plan = plan_of(PLAN);
    b->readings = (earshot_readings){.name = "visits", .reading = b->reading};
    *state = b;
    return 0;
}

static int tear_down(void **state)
{
    bench *b = *state;
    earshot_visits_clear(&b->visits);
    earshot_calibration_free(b->c);
    earshot_plan_free(b->plan);
    free(b);
    return 0;
}

static void add(bench *b, const char *device, long day, double dbm)
{
    const size_t i = device_named(b->plan, device);
    const earshot_device *d = &b->plan->device[i];
    b->reading[b->readings.n++] = (earshot_reading){.device = (long)i,
                                                    .at = {d->point.x_m, d->point.y_m, d->at_m},
                                                    .frequency_hz = 868.3e6,
                                                    .unit = EARSHOT_LEVEL_DBM,
                                                    .level = dbm,
                                                    .heard = true,
                                                    .noise_dbm = NAN,
                                                    .day = day};
}

static void find(bench *b)
{
    const earshot_calibrate_options options = earshot_calibrate_defaults();
    assert_int_equal(earshot_calibrate(b->plan, NULL, &b->readings, &options, NULL, &b->c, NULL), EARSHOT_OK);
    assert_int_equal(earshot_visits_find(b->c, &b->visits), EARSHOT_OK);
}

static const earshot_trend *trend_of(const bench *b, const char *device)
{
    for (size_t i = 0; i < b->visits.n; i++)
        if (b->visits.trend[i].device == device_named(b->plan, device)) return &b->visits.trend[i];
    fail_msg("no trend of %s", device);
    return NULL;
}

static void add_all(bench *b, double last_db)
{
    for (long v = 0; v < 5; v++) {
        const double more = v == 4 ? last_db : 0.0;
        add(b, "steady", 20000 + 183 * v, STEADY[v] + more);
        add(b, "battery", 20000 + 183 * v, BATTERY[v] + more);
        add(b, "shelf", 20000 + 183 * v, SHELF[v] + more);
    }
}

static void drift_is_told_from_noise(void **state)
{
    bench *b = *state;
    add_all(b, 0.0);
    add(b, "once", 20000 + 183 * 4, -50.0);
    find(b);
    assert_int_equal(b->visits.visits, 5);
    assert_int_equal(b->visits.n, 4);
    const earshot_trend *battery = trend_of(b, "battery"), *steady = trend_of(b, "steady");
    assert_int_equal(battery->flag, EARSHOT_TREND_FALLING);
    check_close(battery->slope_db_year, -5.9, 0.2, "dB");
    check_close(battery->first_dbm, -57.3, 1e-9, "dBm");
    check_close(battery->last_dbm, -69.1, 1e-9, "dBm");
    check_close(battery->margin_db, 108.6 - 69.1, 1e-9, "dB");
    assert_int_equal(battery->visits, 5);
    assert_int_equal(steady->flag, EARSHOT_TREND_STEADY);
    check_close(steady->slope_sigma_db_year, b->visits.noise_db / sqrt(10.0) / 183.0 * 365.25, 1e-9, "dB");
    assert_int_equal(trend_of(b, "once")->flag, EARSHOT_TREND_UNKNOWN);
    assert_true(isnan(trend_of(b, "once")->slope_db_year));
}

static void a_drop_is_told_from_drift(void **state)
{
    bench *b = *state;
    add_all(b, 0.0);
    find(b);
    const earshot_trend *shelf = trend_of(b, "shelf");
    assert_int_equal(shelf->flag, EARSHOT_TREND_DROPPED);
    check_close(shelf->change_db, -68.4 + (54.7 + 55.3 + 54.2 + 55.1) / 4.0, 1e-9, "dB");
    check_close(shelf->change_sigma_db, b->visits.noise_db * sqrt(1.25), 1e-9, "dB");
}

static void the_smallest_margin_comes_first(void **state)
{
    bench *b = *state;
    add_all(b, 0.0);
    add(b, "once", 20000, -50.0);
    find(b);
    assert_int_equal(b->visits.trend[0].device, device_named(b->plan, "battery"));
    assert_int_equal(b->visits.trend[1].device, device_named(b->plan, "shelf"));
    assert_int_equal(b->visits.trend[3].device, device_named(b->plan, "once"));
}

/* All fall together: the receiver's aerial, not three batteries. */
static void a_common_change_is_seen(void **state)
{
    bench *b = *state;
    for (long v = 0; v < 2; v++) {
        add(b, "steady", 20000 + 365 * v, v ? -71.0 : -61.0);
        add(b, "battery", 20000 + 365 * v, v ? -66.0 : -57.0);
        add(b, "shelf", 20000 + 365 * v, v ? -64.0 : -53.0);
    }
    find(b);
    check_close(b->visits.common_db, -10.0, 1e-9, "dB");
    assert_true(b->visits.common_sigma_db > 1.0 && b->visits.common_sigma_db < 6.0);
}

static void two_visits_can_only_drop_or_rise(void **state)
{
    bench *b = *state;
    add(b, "steady", 20000, -60.0);
    add(b, "steady", 20100, -60.7);
    add(b, "battery", 20000, -55.0);
    add(b, "battery", 20100, -81.0);
    add(b, "shelf", 20000, -81.0);
    add(b, "shelf", 20100, -55.0);
    find(b);
    assert_int_equal(trend_of(b, "steady")->flag, EARSHOT_TREND_STEADY);
    assert_int_equal(trend_of(b, "battery")->flag, EARSHOT_TREND_DROPPED);
    assert_int_equal(trend_of(b, "shelf")->flag, EARSHOT_TREND_RISING);
}

static void what_has_no_date_takes_no_part(void **state)
{
    bench *b = *state;
    add(b, "steady", EARSHOT_NO_DAY, -60.0);
    add(b, "battery", 20000, -60.0);
    b->reading[1].unit = EARSHOT_LEVEL_NONE;
    b->reading[1].level = NAN;
    find(b);
    assert_int_equal(b->visits.n, 0);
    assert_int_equal(b->visits.visits, 0);
    assert_true(isnan(b->visits.common_db));
}

#define AT(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT(drift_is_told_from_noise), AT(a_drop_is_told_from_drift),        AT(the_smallest_margin_comes_first),
        AT(a_common_change_is_seen),  AT(two_visits_can_only_drop_or_rise), AT(what_has_no_date_takes_no_part),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
