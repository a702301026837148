/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ends of links as the plan states them. */
#include "support/check.h"

#include "support/plans.h"

static const char PLAN[] = "plan 1\n"
                           "band 868.30MHz\n"
                           "radio hub erp=13.1dBm gain=1.3dBi sensitivity=-108.6dBm twoway=yes\n"
                           "radio relay erp=12.2dBm sensitivity=-105.4dBm twoway=yes\n"
                           "radio pir band=868.30MHz erp=7.4dBm\n"
                           "storey upper level=2.9m height=2.5m\n"
                           "receiver panel 1.1,5.9 at=1.6m radio=hub on=wood\n"
                           "receiver spare 1.2,5.8 at=1.6m radio=hub mounting=0.7dB\n"
                           "mount bare 4.9,2.2 at=2.2m mains=yes\n"
                           "mount own 5.9,2.2 at=2.3m mains=yes radio=relay on=masonry\n"
                           "device hall movement 4.5,6.9 at=2.3m radio=pir on=plaster\n"
                           "device safe contact 4.6,6.8 at=0.4m radio=pir on=metal\n"
                           "device exact contact 4.7,6.7 at=0.5m radio=pir on=metal mounting=3.3dB\n"
                           "device fob fob 4.8,6.6 at=1.1m radio=pir\n"
                           "device button panic 4.9,6.5 at=1.2m radio=pir body=4.4dB\n";

typedef struct home {
    earshot_plan *plan;
    earshot_site *site;
} home;

static int set_up(void **state)
{
    home *h = calloc(1, sizeof *h);
    assert_non_null(h);
    h->plan = plan_of(PLAN);
    h->site = site_of(h->plan, NULL);
    *state = h;
    return 0;
}

static int tear_down(void **state)
{
    home *h = *state;
    earshot_site_free(h->site);
    earshot_plan_free(h->plan);
    free(h);
    return 0;
}

static earshot_station device(const home *h, const char *name, double frequency_hz)
{
    earshot_station s;
    assert_int_equal(earshot_device_station(h->site, device_named(h->plan, name), frequency_hz, &s), EARSHOT_OK);
    return s;
}

static void test_devices(void **state)
{
    const home *h = *state;
    const earshot_station hall = device(h, "hall", 868.3e6);
    check_close(hall.at.z_m, 5.2, 1e-12, "m");
    check_close(hall.radio->erp_dbm, 7.4, 0.0, "dBm");
    check_close(hall.mounting_db, 1.0, 0.0, "dB");
    check_close(hall.body_db, 0.0, 0.0, "dB");
    check_close(device(h, "safe", 868.3e6).mounting_db, earshot_mounting_db(EARSHOT_FIXING_METAL, 868.3e6), 0.0, "dB");
    check_close(device(h, "exact", 868.3e6).mounting_db, 3.3, 0.0, "dB");
    check_close(device(h, "fob", 868.3e6).body_db, 6.0, 0.0, "dB");
    check_close(device(h, "fob", 868.3e6).mounting_db, 0.0, 0.0, "dB");
    check_close(device(h, "button", 868.3e6).body_db, 4.4, 0.0, "dB");
}

static void test_receivers_and_mounts(void **state)
{
    const home *h = *state;
    earshot_station s;
    assert_int_equal(earshot_receiver_station(h->site, 0, 433.92e6, &s), EARSHOT_OK);
    check_close(s.mounting_db, 2.0, 0.0, "dB");
    check_close(s.body_db, 0.0, 0.0, "dB");
    assert_int_equal(earshot_receiver_station(h->site, 1, 433.92e6, &s), EARSHOT_OK);
    check_close(s.mounting_db, 0.7, 0.0, "dB");
    assert_int_equal(earshot_mount_station(h->site, 0, 1, 433.92e6, &s), EARSHOT_OK);
    assert_string_equal(s.radio->name, "hub"); /* lent by the receiver */
    check_close(s.mounting_db, 0.0, 0.0, "dB");
    assert_int_equal(earshot_mount_station(h->site, 1, 0, 433.92e6, &s), EARSHOT_OK);
    assert_string_equal(s.radio->name, "relay");
    check_close(s.mounting_db, 3.0, 0.0, "dB");
    check_close(s.at.z_m, 5.2, 1e-12, "m");
}

static void test_refusals_leave_the_station_alone(void **state)
{
    const home *h = *state;
    earshot_station s = {.mounting_db = 41.7};
    assert_int_equal(earshot_device_station(h->site, 0, 433.92e6, &s), EARSHOT_NO_SUCH_NAME);
    assert_int_equal(earshot_device_station(h->site, 5, 868.3e6, &s), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_receiver_station(h->site, 2, 868.3e6, &s), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_mount_station(h->site, 2, 0, 868.3e6, &s), EARSHOT_ARGUMENT);
    assert_int_equal(earshot_mount_station(h->site, 0, 2, 868.3e6, &s), EARSHOT_ARGUMENT);
    check_close(s.mounting_db, 41.7, 0.0, "dB");
}

/* Image of an element 10 mm off a sheet: 868.3 MHz, 2 pi h / lambda = 0.18198, 2 sin = 0.36196, 8.827 dB; 433.92 MHz,
 * 0.090943, 0.18164, 14.816 dB. At lambda/12 it ends. */
static void test_metal_takes_more_at_the_lower_band(void **state)
{
    (void)state;
    check_close(earshot_mounting_db(EARSHOT_FIXING_METAL, 868.3e6), 8.827, 1e-3, "dB");
    check_close(earshot_mounting_db(EARSHOT_FIXING_METAL, 433.92e6), 14.816, 1e-3, "dB");
    check_close(earshot_mounting_db(EARSHOT_FIXING_METAL, 2.498e9), 0.0, 1e-3, "dB");
    check_close(earshot_mounting_db(EARSHOT_FIXING_METAL, 5.8e9), 0.0, 0.0, "dB");
    check_close(earshot_mounting_db(EARSHOT_FIXING_UNSTATED, 868.3e6), 0.0, 0.0, "dB");
    check_close(earshot_mounting_db(EARSHOT_FIXING_FREE, 868.3e6), 0.0, 0.0, "dB");
}

static void test_only_what_is_held_loses_to_the_body(void **state)
{
    (void)state;
    for (earshot_kind kind = EARSHOT_KIND_MOVEMENT; kind < EARSHOT_KINDS; kind++) {
        const bool held = kind == EARSHOT_KIND_FOB || kind == EARSHOT_KIND_PANIC;
        check_close(earshot_body_db(kind), held ? 6.0 : 0.0, 0.0, "dB");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_devices),
        cmocka_unit_test(test_receivers_and_mounts),
        cmocka_unit_test(test_refusals_leave_the_station_alone),
        cmocka_unit_test(test_metal_takes_more_at_the_lower_band),
        cmocka_unit_test(test_only_what_is_held_loses_to_the_body),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
