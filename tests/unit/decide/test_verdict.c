/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Verdicts and capacity on a yard where two metal screens stand between the receiver and a shed. */
#include "support/check.h"

#include "earshot/place.h"

#include "support/plans.h"

static const double F_HZ = 868.3e6;

/* The screens (31.7 dB each) are at x = 30 and 33; a mount off the line sees past both. Tests put statements after. */
#define YARD                                                                                                           \
    "plan 1\nband 868.30MHz\nneed margin=6dB confidence=95%\n" TEST_MATERIALS                                          \
    "radio hub   erp=13.1dBm gain=1.3dBi sensitivity=-108.6dBm twoway=yes mains=yes\n"                                 \
    "radio relay erp=12.2dBm gain=0.4dBi sensitivity=-106.3dBm twoway=yes\n"                                           \
    "radio pir   erp=7.4dBm\n"                                                                                         \
    "radio fob   erp=3.1dBm\n"                                                                                         \
    "radio pad   erp=9.7dBm gain=-2.3dBi sensitivity=-101.9dBm twoway=yes\n"                                           \
    "radio near  erp=7.4dBm hops=0\n"                                                                                  \
    "storey ground level=0m height=2.5m\n"                                                                             \
    "wall tank 30,-6 30,6\n"                                                                                           \
    "wall tank 33,-6 33,6\n"                                                                                           \
    "receiver panel 0,0 at=1.5m radio=hub\n"                                                                           \
    "device hall movement 7.3,1.9 at=2.2m radio=pir\n"

typedef struct yard {
    earshot_plan *plan;
    earshot_site *site;
    earshot_check check;
} yard;

static yard open_yard_at(const char *text, double frequency_hz)
{
    yard y = {.plan = plan_of(text)};
    earshot_error error = {0};
    y.site = site_of(y.plan, NULL);
    const earshot_status status =
        earshot_check_run(y.site, EARSHOT_MODEL_DIRECT, frequency_hz, 0, NULL, &y.check, &error);
    if (status) print_error("%s\n", error.message);
    assert_int_equal(status, EARSHOT_OK);
    return y;
}

static yard open_yard(const char *text)
{
    return open_yard_at(text, F_HZ);
}

static void close_yard(yard *y)
{
    earshot_check_clear(&y->check);
    earshot_site_free(y->site);
    earshot_plan_free(y->plan);
}

static const earshot_decision *decision(const yard *y, const char *device)
{
    return &y->check.device[device_named(y->plan, device)];
}

static const char *mount_name(const yard *y, const earshot_decision *d)
{
    return d->mount == EARSHOT_NONE ? "none" : y->plan->mount[d->mount].name;
}

static void test_heard_directly(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount side 31,17 at=2.2m mains=yes radio=relay\n");
    const earshot_decision *hall = decision(&y, "hall");
    assert_int_equal(hall->verdict, EARSHOT_VERDICT_DIRECT);
    assert_true(hall->link.meets);
    assert_int_equal(hall->mount, EARSHOT_NONE);
    assert_true(y.check.all_direct);
    assert_int_equal(y.check.n_direct, 1);
    assert_int_equal(y.check.receiver, 0);
    assert_ptr_equal(y.check.site, y.site);
    check_close(y.check.need.margin_db, 6.0, 0.0, "dB");
    check_close(y.check.need.confidence, 0.95, 0.0, "");
    assert_int_equal(y.check.n_mounts, 1);
    assert_false(y.check.mount[0].out.used); /* nobody lacks margin: not computed */
    close_yard(&y);
}

static void test_through_a_repeater(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount side 31,17 at=2.2m radio=relay\ndevice shed contact 62,0 at=1.7m radio=pir\n");
    const earshot_decision *shed = decision(&y, "shed");
    assert_false(shed->link.meets);
    assert_int_equal(shed->verdict, EARSHOT_VERDICT_REPEATER);
    assert_string_equal(mount_name(&y, shed), "side");
    assert_true(shed->to_mount.meets);
    assert_false(shed->unwirable);
    check_close(shed->to_mount.loss.distance_m, sqrt(31.0 * 31.0 + 17.0 * 17.0 + 0.5 * 0.5), 1e-9, "m");
    assert_true(y.check.mount[0].meets);
    assert_true(y.check.mount[0].back.used); /* both are two-way */
    assert_false(y.check.all_direct);
    assert_int_equal(y.check.n_direct, 1);
    assert_int_equal(y.check.n_repeater, 1);
    assert_int_equal(y.check.n_wire, 0);
    close_yard(&y);
}

static void test_by_wire_where_no_mount_helps(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount close 2,0 at=2.2m radio=relay\n"   /* hears the receiver, not the shed */
                            "mount beyond 61,1 at=2.2m radio=relay\n" /* hears the shed, not the receiver */
                            "device shed contact 62,0 at=1.7m radio=pir\n"
                            "device tool contact 62,1 at=1.7m radio=pir link=radio\n"
                            "device key fob 62,2 at=1.1m radio=fob\n");
    assert_int_equal(decision(&y, "shed")->verdict, EARSHOT_VERDICT_WIRE);
    assert_int_equal(decision(&y, "shed")->mount, EARSHOT_NONE);
    assert_false(decision(&y, "shed")->unwirable);
    assert_int_equal(decision(&y, "tool")->verdict, EARSHOT_VERDICT_WIRE);
    assert_true(decision(&y, "tool")->unwirable);
    assert_true(decision(&y, "key")->unwirable);
    assert_true(y.check.mount[0].meets);
    assert_false(y.check.mount[1].meets);
    assert_int_equal(y.check.n_wire, 3);
    assert_false(y.check.all_direct);
    close_yard(&y);
}

/* The larger smaller margin wins: 'start' is nearer to the receiver, but 45 m from the shed; 'middle' has 35 m to both.
 */
static void test_best_mount_is_the_one_with_the_larger_smaller_margin(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount start 20,17 at=2.2m radio=relay\nmount middle 31.5,17 at=2.2m radio=relay\n"
                            "device shed contact 62,0 at=1.7m radio=pir\n");
    const earshot_decision *shed = decision(&y, "shed");
    const earshot_link *start = &y.check.mount[mount_named(y.plan, "start")];
    const earshot_link *middle = &y.check.mount[mount_named(y.plan, "middle")];
    assert_string_equal(mount_name(&y, shed), "middle");
    assert_true(start->meets && middle->meets);
    assert_true(start->dependable_db > middle->dependable_db);
    close_yard(&y);
}

static void test_equal_mounts_go_by_name(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount zeta 31,17 at=2.2m radio=relay\nmount alpha 31,-17 at=2.2m radio=relay\n"
                            "device shed contact 62,0 at=1.7m radio=pir\n");
    assert_string_equal(mount_name(&y, decision(&y, "shed")), "alpha");
    close_yard(&y);
    y = open_yard(YARD "mount alpha 31,-17 at=2.2m radio=relay\nmount zeta 31,17 at=2.2m radio=relay\n"
                       "device shed contact 62,0 at=1.7m radio=pir\n");
    assert_string_equal(mount_name(&y, decision(&y, "shed")), "alpha");
    close_yard(&y);
}

static void test_receiver_lends_its_radio_where_there_is_mains(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount side 31,17 at=2.2m\ndevice shed contact 62,0 at=1.7m radio=pir\n");
    assert_int_equal(decision(&y, "shed")->verdict, EARSHOT_VERDICT_WIRE); /* the hub needs mains */
    assert_false(y.check.mount[0].out.used);
    close_yard(&y);
    y = open_yard(YARD "mount side 31,17 at=2.2m mains=yes\ndevice shed contact 62,0 at=1.7m radio=pir\n");
    assert_int_equal(decision(&y, "shed")->verdict, EARSHOT_VERDICT_REPEATER);
    close_yard(&y);
}

static void test_a_device_that_allows_no_hop_gets_no_repeater(void **state)
{
    (void)state;
    yard y = open_yard(YARD "mount side 31,17 at=2.2m radio=relay\n"
                            "device shed contact 62,0 at=1.7m radio=near\n"
                            "device tool contact 62,1 at=1.7m radio=pir\n");
    assert_int_equal(decision(&y, "shed")->verdict, EARSHOT_VERDICT_WIRE);
    assert_int_equal(decision(&y, "tool")->verdict, EARSHOT_VERDICT_REPEATER);
    close_yard(&y);
}

static void test_a_receiver_that_allows_no_hop_gets_no_repeater(void **state)
{
    (void)state;
    earshot_plan *plan = plan_of(YARD "radio deaf sensitivity=-108.6dBm hops=0\nreceiver old 0,1 at=1.5m radio=deaf\n"
                                      "mount side 31,17 at=2.2m radio=relay\n"
                                      "device shed contact 62,0 at=1.7m radio=pir\n");
    earshot_site *site = site_of(plan, NULL);
    for (size_t receiver = 0; receiver < 2; receiver++) {
        earshot_check check;
        assert_int_equal(earshot_check_run(site, EARSHOT_MODEL_DIRECT, F_HZ, receiver, NULL, &check, NULL), EARSHOT_OK);
        assert_int_equal(check.n_repeater, receiver == 0);
        assert_int_equal(check.n_wire, receiver == 1);
        earshot_check_clear(&check);
    }
    earshot_site_free(site);
    earshot_plan_free(plan);
}

/* link=wire: settled by the plan, not a lack, radio or not. */
static void test_wired_by_the_plan(void **state)
{
    (void)state;
    yard y = open_yard_at(YARD "radio pir8 band=868.30MHz erp=4.4dBm\n"
                               "device shed contact 62,0 at=1.7m radio=pir link=wire\n"
                               "device bell sounder 5,2 at=2.1m radio=pir8 link=wire\n",
                          433.92e6);
    assert_int_equal(decision(&y, "shed")->verdict, EARSHOT_VERDICT_WIRE);
    assert_int_equal(decision(&y, "bell")->verdict, EARSHOT_VERDICT_WIRE);
    assert_true(decision(&y, "shed")->link.out.used); /* what it would have been */
    assert_false(decision(&y, "bell")->link.out.used);
    assert_true(y.check.all_direct);
    assert_int_equal(y.check.n_wire, 2);
    close_yard(&y);
}

static void test_two_way_devices_are_judged_on_the_worse_direction(void **state)
{
    (void)state;
    yard y = open_yard(YARD "device pad keypad 7.3,1.9 at=1.4m radio=pad\n");
    const earshot_link *link = &decision(&y, "pad")->link;
    assert_true(link->back.used);
    check_close(link->margin_db, fmin(link->out.margin_db, link->back.margin_db), 0.0, "dB");
    /* out - back = (9.7 + 1.3 + 108.6) - (13.1 - 2.3 + 101.9) = 6.9 dB */
    check_close(link->out.margin_db - link->back.margin_db, 6.9, 0.0101, "dB");
    close_yard(&y);
}

static void test_capacity_counts_devices_that_go_by_radio(void **state)
{
    (void)state;
    yard y = open_yard(YARD "capacity hub movement,contact=2 fob=1 keypad=0\n"
                            "capacity relay movement=0\n"
                            "device a contact 4,1 at=1m radio=pir\ndevice b contact 4,2 at=1m radio=pir\n"
                            "device c contact 4,3 at=1m radio=pir link=wire\ndevice k fob 4,4 at=1m radio=fob\n");
    assert_int_equal(y.check.n_overloads, 1);
    assert_int_equal(y.check.overload[0].needed, 3);
    assert_int_equal(y.plan->capacity[y.check.overload[0].capacity].count, 2);
    assert_false(y.check.all_direct);
    /* one of the three is one too many: the nearest wire */
    assert_int_equal(y.check.n_wire, earshot_place_available() ? 2 : 1);
    assert_int_equal(decision(&y, "k")->verdict, EARSHOT_VERDICT_DIRECT);
    close_yard(&y);
}

static void check_fails(const char *text, double frequency_hz, size_t receiver, earshot_status status, const char *says)
{
    earshot_plan *plan = plan_of(text);
    earshot_site *site = site_of(plan, NULL);
    earshot_check check;
    earshot_error error;
    memset(&check, 0x5a, sizeof check);
    assert_int_equal(earshot_check_run(site, EARSHOT_MODEL_DIRECT, frequency_hz, receiver, NULL, &check, &error),
                     status);
    if (!strstr(error.message, says)) print_error("says \"%s\"\n", error.message);
    assert_non_null(strstr(error.message, says));
    assert_null(check.device);
    assert_int_equal(check.n_devices, 0);
    assert_int_equal(earshot_check_run(site, EARSHOT_MODEL_DIRECT, frequency_hz, receiver, NULL, &check, NULL), status);
    earshot_site_free(site);
    earshot_plan_free(plan);
}

static void test_failures_say_what_is_wrong(void **state)
{
    (void)state;
    const char *late = YARD "radio h8 band=868.30MHz sensitivity=-105dBm\nreceiver other 1,1 at=1m radio=h8\n"
                            "radio p8 band=868.30MHz erp=2.2dBm\ndevice x contact 3,3 at=1m radio=p8\n";
    check_fails(late, 433.92e6, 0, EARSHOT_NO_SUCH_NAME, "device 'x': no radio 'p8' for 433.92 MHz");
    check_fails(late, 433.92e6, 1, EARSHOT_NO_SUCH_NAME, "receiver 'other': no radio 'h8' for 433.92 MHz");
    check_fails(late, 868.3e6, 2, EARSHOT_ARGUMENT, "receiver");
    check_fails(late, (double)NAN, 0, EARSHOT_NO_SUCH_NAME, "p8");
    check_fails(YARD, 7e9, 0, EARSHOT_ARGUMENT, "out of range");
}

typedef struct watcher {
    double last;
    int calls, stop_after;
    bool fell;
} watcher;

static bool watch_it(void *context, double done)
{
    watcher *w = context;
    if (done < w->last || done > 1.0) w->fell = true;
    w->last = done;
    return ++w->calls < w->stop_after;
}

static void test_progress_rises_over_all_sweeps_and_can_stop(void **state)
{
    (void)state;
    earshot_plan *plan = plan_of(YARD "mount side 31,17 at=2.2m radio=relay\nmount back 31,-18 at=2.2m radio=relay\n"
                                      "device shed contact 62,0 at=1.7m radio=pir\n");
    earshot_site *site = site_of(plan, NULL);
    earshot_check check;
    watcher w = {.stop_after = 1000000};
    const earshot_watch watch = {watch_it, &w};
    assert_int_equal(earshot_check_run(site, EARSHOT_MODEL_DIRECT, F_HZ, 0, &watch, &check, NULL), EARSHOT_OK);
    assert_false(w.fell);
    earshot_check_clear(&check);
    if (w.calls > 0) { /* with many threads the first may be too late to say anything */
        w = (watcher){.stop_after = 1};
        const earshot_status status = earshot_check_run(site, EARSHOT_MODEL_DIRECT, F_HZ, 0, &watch, &check, NULL);
        assert_int_equal(status, w.calls ? EARSHOT_INTERNAL : EARSHOT_OK);
        if (status) assert_null(check.device);
        earshot_check_clear(&check);
    }
    earshot_site_free(site);
    earshot_plan_free(plan);
}

static void test_words(void **state)
{
    (void)state;
    assert_string_equal(earshot_verdict_name(EARSHOT_VERDICT_DIRECT), "direct");
    assert_string_equal(earshot_verdict_name(EARSHOT_VERDICT_REPEATER), "repeater");
    assert_string_equal(earshot_verdict_name(EARSHOT_VERDICT_WIRE), "wire");
    assert_null(earshot_verdict_name((earshot_verdict)3));
    earshot_check_clear(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_heard_directly),
        cmocka_unit_test(test_through_a_repeater),
        cmocka_unit_test(test_by_wire_where_no_mount_helps),
        cmocka_unit_test(test_best_mount_is_the_one_with_the_larger_smaller_margin),
        cmocka_unit_test(test_equal_mounts_go_by_name),
        cmocka_unit_test(test_receiver_lends_its_radio_where_there_is_mains),
        cmocka_unit_test(test_a_device_that_allows_no_hop_gets_no_repeater),
        cmocka_unit_test(test_a_receiver_that_allows_no_hop_gets_no_repeater),
        cmocka_unit_test(test_wired_by_the_plan),
        cmocka_unit_test(test_two_way_devices_are_judged_on_the_worse_direction),
        cmocka_unit_test(test_capacity_counts_devices_that_go_by_radio),
        cmocka_unit_test(test_failures_say_what_is_wrong),
        cmocka_unit_test(test_progress_rises_over_all_sweeps_and_can_stop),
        cmocka_unit_test(test_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
