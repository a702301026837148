/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "support/plans.h"
#include "survey/posterior.h"

/* Two detectors side by side whose verdict hangs in the balance, one far from any doubt, one wired. */
static const char PLAN[] = "plan 1\nband 868.3MHz\nneed margin=10dB confidence=95%\n" TEST_MATERIALS
                           "radio hub sensitivity=-104.6dBm\nradio pir erp=7.4dBm\n"
                           "storey ground level=0m height=2.5m\nwall thick 20,0 20,60\nwall thick 40,0 40,60\n"
                           "receiver panel 1.1,5.9 at=1.6m radio=hub\n"
                           "device close movement 8.5,6.9 at=2.3m radio=pir\n"
                           "device edge movement 62.5,20.9 at=2.3m radio=pir\n"
                           "device beside movement 62.5,21.3 at=2.3m radio=pir\n"
                           "device wired movement 70.5,7.9 at=2.3m radio=pir link=wire\n"
                           "device read movement 30,10 at=2.3m radio=pir\n";

typedef struct bench {
    earshot_plan *plan;
    earshot_reading reading[2];
    earshot_readings readings;
    earshot_calibration *c;
    earshot_check check;
    earshot_next next[8];
    size_t n;
    double doubt;
} bench;

static int set_up(void **state)
{
    bench *b = calloc(1, sizeof *b);
    assert_non_null(b);
    b->plan = plan_of(PLAN);
    const size_t d = device_named(b->plan, "read");
    b->reading[0] = (earshot_reading){.device = (long)d,
                                      .at = {30.0, 10.0, 2.3},
                                      .frequency_hz = 868.3e6,
                                      .unit = EARSHOT_LEVEL_DBM,
                                      .level = -70.3,
                                      .heard = true,
                                      .noise_dbm = NAN,
                                      .day = EARSHOT_NO_DAY};
    b->readings = (earshot_readings){.name = "one", .reading = b->reading, .n = 1};
    const earshot_calibrate_options options = earshot_calibrate_defaults();
    assert_int_equal(earshot_calibrate(b->plan, NULL, &b->readings, &options, NULL, &b->c, NULL), EARSHOT_OK);
    assert_int_equal(earshot_check_run(b->c->after, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &b->check, NULL),
                     EARSHOT_OK);
    assert_int_equal(earshot_next_readings(b->c, &b->check, b->next, &b->n, &b->doubt), EARSHOT_OK);
    *state = b;
    return 0;
}

static int tear_down(void **state)
{
    bench *b = *state;
    earshot_check_clear(&b->check);
    earshot_calibration_free(b->c);
    earshot_plan_free(b->plan);
    free(b);
    return 0;
}

static const earshot_next *next_of(const bench *b, const char *device)
{
    for (size_t i = 0; i < b->n; i++)
        if (b->next[i].device == device_named(b->plan, device)) return &b->next[i];
    return NULL;
}

static void reading_at_the_edge_teaches_most(void **state)
{
    const bench *b = *state;
    assert_int_equal(b->n, 4);
    assert_true(b->doubt > 0.3 && b->doubt < 1.1);
    assert_true(b->next[0].device == device_named(b->plan, "edge") ||
                b->next[0].device == device_named(b->plan, "beside"));
    assert_true(b->next[0].fall > 0.05 && b->next[0].fall < b->doubt);
    assert_true(next_of(b, "close")->fall < b->next[0].fall);
    for (size_t i = 1; i < b->n; i++) assert_true(b->next[i].fall <= b->next[i - 1].fall);
}

static void what_is_wired_or_read_already_is_no_choice(void **state)
{
    const bench *b = *state;
    assert_null(next_of(b, "wired"));
    check_close(next_of(b, "read")->fall, 0.0, 0.0, "");
}

/* The fall foretold against doing it: reading the value expected takes the variance down by as much. */
static void variance_falls_as_foretold(void **state)
{
    bench *b = *state;
    const size_t edge = device_named(b->plan, "edge"), beside = device_named(b->plan, "beside");
    const double before_db = next_of(b, "beside")->sigma_db;
    es_view view[2];
    const earshot_vec3 hub = earshot_site_receiver_at(b->c->after, 0);
    assert_int_equal(
        es_view_at(b->c->posterior, 868.3e6, hub, earshot_site_device_at(b->c->after, edge), 5.0, &view[0]),
        EARSHOT_OK);
    assert_int_equal(
        es_view_at(b->c->posterior, 868.3e6, hub, earshot_site_device_at(b->c->after, beside), 5.0, &view[1]),
        EARSHOT_OK);
    const double shared = es_view_covariance(b->c->posterior, &view[0], &view[1]);
    check_close(sqrt(es_view_covariance(b->c->posterior, &view[1], &view[1])), before_db, 1e-9, "dB");
    b->reading[1] = b->reading[0];
    b->reading[1].device = (long)edge;
    b->reading[1].at = earshot_site_device_at(b->c->after, edge);
    b->reading[1].level = b->check.device[edge].link.out.level_dbm - 2.0;
    b->readings.n = 2;
    earshot_calibration *again;
    const earshot_calibrate_options options = earshot_calibrate_defaults();
    assert_int_equal(earshot_calibrate(b->plan, NULL, &b->readings, &options, NULL, &again, NULL), EARSHOT_OK);
    es_view after;
    assert_int_equal(
        es_view_at(again->posterior, 868.3e6, hub, earshot_site_device_at(b->c->after, beside), 5.0, &after),
        EARSHOT_OK);
    const double own = es_view_covariance(b->c->posterior, &view[0], &view[0]);
    const double noise = again->posterior->row[1].place_variance + again->posterior->row[1].variance;
    check_close(es_view_covariance(again->posterior, &after, &after),
                before_db * before_db - shared * shared / (own + noise), 0.3, "dB2");
    es_view_clear(&after);
    es_view_clear(&view[0]);
    es_view_clear(&view[1]);
    earshot_calibration_free(again);
}

static void only_the_corrected_site_will_do(void **state)
{
    bench *b = *state;
    earshot_check before;
    assert_int_equal(earshot_check_run(b->c->before, EARSHOT_MODEL_DIRECT, 868.3e6, 0, NULL, &before, NULL),
                     EARSHOT_OK);
    assert_int_equal(earshot_next_readings(b->c, &before, b->next, &b->n, &b->doubt), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_next_readings(NULL, &b->check, b->next, &b->n, &b->doubt), EARSHOT_ARGUMENT);
    earshot_check_clear(&before);
}

#define AT(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT(reading_at_the_edge_teaches_most),
        AT(what_is_wired_or_read_already_is_no_choice),
        AT(variance_falls_as_foretold),
        AT(only_the_corrected_site_will_do),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
