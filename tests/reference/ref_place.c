/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Placement against a textbook problem with a printed optimum.
 * Source   Winston, Operations Research: Applications and Algorithms, chapter on integer programming, the
 *          facility-location set-covering example: six cities of "Kilroy County", a fire station within 15 minutes of
 *          each; driving times and the optimum (two stations, cities 2 and 4) from memory.
 * Cities are devices, possible stations are repeaters of equal cost, the margin is 15 minutes less the driving time. */
#include "support/check.h"

#include "decide/programme.h"

enum { CITIES = 6 };

static const double MINUTES[CITIES][CITIES] = {
    {0, 10, 20, 30, 30, 20}, {10, 0, 25, 35, 20, 10}, {20, 25, 0, 15, 30, 20},
    {30, 35, 15, 0, 15, 25}, {30, 20, 30, 15, 0, 14}, {20, 10, 20, 25, 14, 0},
};

typedef struct county {
    es_programme programme;
    es_programme_device device[CITIES];
    es_programme_receiver receiver;
    es_programme_repeater repeater[CITIES];
    double direct_db[CITIES], heard_db[CITIES * CITIES], up_db[CITIES];
    es_cost wire[CITIES];
} county;

static void make_county(county *c, unsigned stations)
{
    *c = (county){0};
    for (size_t i = 0; i < CITIES; i++) {
        c->device[i].radio = true;
        c->direct_db[i] = -INFINITY;
        c->wire[i] = ES_COST_NONE;
        c->repeater[i] = (es_programme_repeater){.spot = 1 + i, .cost = 4321};
        c->up_db[i] = 99.0;
        for (size_t k = 0; k < CITIES; k++) c->heard_db[i * CITIES + k] = 15.0 - MINUTES[i][k];
    }
    c->receiver = (es_programme_receiver){.spot = 0, .hops = 1};
    c->programme = (es_programme){.n_devices = CITIES,
                                  .n_receivers = 1,
                                  .n_repeaters = CITIES,
                                  .device = c->device,
                                  .receiver = &c->receiver,
                                  .repeater = c->repeater,
                                  .direct_db = c->direct_db,
                                  .heard_db = c->heard_db,
                                  .up_db = c->up_db,
                                  .wire = c->wire,
                                  .enough_db = INFINITY,
                                  .max_repeaters = stations};
}

static es_programme_result solve(const county *c)
{
    const es_programme_options options = {.best = 1, .seconds = INFINITY};
    es_programme_result result;
    assert_int_equal(es_programme_solve(&c->programme, &options, &result), EARSHOT_OK);
    assert_true(result.proven);
    return result;
}

static void test_two_stations_cover_the_county(void **state)
{
    (void)state;
    county c;
    make_county(&c, CITIES);
    es_programme_result result = solve(&c);
    assert_int_equal(result.best[0].n_unserved, 0);
    assert_int_equal(result.best[0].cost, 2 * 4321);
    for (size_t i = 0; i < CITIES; i++) assert_int_equal(result.best[0].up[i] != ES_UP_UNUSED, i == 1 || i == 3);
    check_close(result.best[0].worst_db, 0.0, 0.0, "minutes in hand");
    es_programme_result_clear(&result);
}

static void test_one_station_is_one_too_few(void **state)
{
    (void)state;
    county c;
    make_county(&c, 1);
    es_programme_result result = solve(&c);
    assert_true(result.best[0].n_unserved > 0);
    assert_int_equal(result.n_reasons, 1);
    assert_int_equal(result.reason[0].kind, ES_REASON_REPEATERS);
    assert_int_equal(result.reason[0].amount, 1);
    es_programme_result_clear(&result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_two_stations_cover_the_county),
        cmocka_unit_test(test_one_station_is_one_too_few),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
