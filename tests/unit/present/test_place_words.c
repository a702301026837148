/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a person is told of an arrangement: why not, why this one, what the channel carries, what a proof is worth. The
 * answers are made by hand, so that every build can tell them. */
#include "support/check.h"

#include <jansson.h>

#include "present/place_words.h"
#include "support/plans.h"

static const char PLAN[] = "plan 1\nband 868.30MHz\n" TEST_MATERIALS
                           "radio hub erp=13dBm sensitivity=-106dBm twoway=yes\nradio sensor erp=7dBm\n"
                           "capacity hub movement,smoke=17\n"
                           "storey g level=0m height=2.5m\n"
                           "wall thick 0,0 11,0 11,4 0,4 0,0\n"
                           "receiver panel 1,2 at=1.4m radio=hub\n"
                           "device far contact 9.5,2 at=2.4m radio=sensor label=\"Far door\"\n"
                           "device gong sounder 9.5,3 at=2.4m radio=sensor link=wire\n"
                           "scene night swap=thick:thin\n";

typedef struct fixture {
    earshot_plan *plan;
    earshot_site *site, *night;
    const earshot_site *both[2];
    earshot_spot spot[2];
    earshot_placement p;
} fixture;

static fixture f;

static int start(void **state)
{
    (void)state;
    f.plan = plan_of(PLAN);
    f.site = site_of(f.plan, NULL);
    f.night = site_of(f.plan, "night");
    f.both[0] = f.site;
    f.both[1] = f.night;
    f.spot[0] = (earshot_spot){.name = "panel", .receiver = 0, .mount = EARSHOT_NONE, .receives = true};
    f.spot[1] = (earshot_spot){.name = "shelf", .receiver = EARSHOT_NONE, .mount = EARSHOT_NONE, .repeats = true};
    f.p = (earshot_placement){.plan = f.plan,
                              .site = f.both,
                              .n_sites = 1,
                              .frequency_hz = 868.3e6,
                              .need = {7.5, 0.95},
                              .spot = f.spot,
                              .n_spots = 2,
                              .proven = true};
    return 0;
}

static int end(void **state)
{
    (void)state;
    earshot_site_free(f.site);
    earshot_site_free(f.night);
    earshot_plan_free(f.plan);
    return 0;
}

static void says(earshot_text *text, const char *expected)
{
    assert_false(text->failed);
    assert_string_equal(text->data ? text->data : "", expected);
    earshot_text_clear(text);
}

static void the_conditions_name_the_scenes(void **state)
{
    (void)state;
    earshot_text text = {0};
    earshot_placement p = f.p;
    es_placement_conditions(&p, &text);
    says(&text, "868.30 MHz, direct model");
    p.n_sites = 2;
    es_placement_conditions(&p, &text);
    says(&text, "868.30 MHz, direct model, the worst of scenes as drawn, night");
    p.site = f.both + 1;
    p.n_sites = 1;
    es_placement_conditions(&p, &text);
    says(&text, "868.30 MHz, direct model, scene night");
}

static earshot_reason reason(earshot_obstacle obstacle, long device, unsigned amount, long nearest)
{
    return (earshot_reason){.obstacle = obstacle,
                            .device = device,
                            .capacity = EARSHOT_NONE,
                            .amount = amount,
                            .short_db = nearest == EARSHOT_NONE ? INFINITY : 13.7,
                            .nearest = nearest};
}

static void every_obstacle_is_told_with_what_helps(void **state)
{
    (void)state;
    static const struct {
        earshot_obstacle obstacle;
        long device;
        unsigned amount;
        long nearest;
        const char *words;
    } CASE[] = {
        {EARSHOT_OBSTACLE_NO_WAY, 0, 0, 1,
         "far \"Far door\" cannot be wired, and its best link, to shelf, lacks 13.7 dB: add a mount nearer to it, move "
         "it, or take a kind that may be wired"},
        {EARSHOT_OBSTACLE_NO_WAY, 0, 0, EARSHOT_NONE,
         "far \"Far door\" cannot be wired, and nothing hears it: add a mount near it"},
        {EARSHOT_OBSTACLE_NO_WAY, 1, 0, EARSHOT_NONE, "gong must be wired, and no cable reaches it: draw its way in"},
        {EARSHOT_OBSTACLE_REPEATERS_FULL, EARSHOT_NONE, 3, EARSHOT_NONE,
         "repeaters hold 3 devices too few each: take some that hold more"},
        {EARSHOT_OBSTACLE_REPEATERS, EARSHOT_NONE, 1, EARSHOT_NONE,
         "1 repeater more than the plan allows would be needed: raise 'need repeaters='"},
        {EARSHOT_OBSTACLE_INPUTS, EARSHOT_NONE, 2, EARSHOT_NONE,
         "the panel lacks 2 wired inputs, expanders included: raise 'inputs expanders='"},
    };
    for (size_t i = 0; i < sizeof CASE / sizeof CASE[0]; i++) {
        earshot_text text = {0};
        const earshot_reason r = reason(CASE[i].obstacle, CASE[i].device, CASE[i].amount, CASE[i].nearest);
        es_reason_words(&f.p, &r, &text);
        says(&text, CASE[i].words);
    }
    earshot_text text = {0};
    earshot_reason full = reason(EARSHOT_OBSTACLE_RECEIVER_FULL, EARSHOT_NONE, 5, EARSHOT_NONE);
    full.capacity = 0;
    es_reason_words(&f.p, &full, &text);
    says(&text, "the receiver holds 5 devices too few (movement and smoke): take one that holds more, or a second one");
}

static void reasons_stand_in_json_and_in_the_table(void **state)
{
    (void)state;
    earshot_placement p = f.p;
    earshot_reason r[] = {reason(EARSHOT_OBSTACLE_NO_WAY, 0, 0, EARSHOT_NONE),
                          reason(EARSHOT_OBSTACLE_INPUTS, EARSHOT_NONE, 2, EARSHOT_NONE)};
    p.reason = r;
    p.n_reasons = 2;
    earshot_text text = {0};
    assert_int_equal(earshot_json_placement(&p, 1, &text), EARSHOT_OK);
    json_t *root = json_loads(text.data, 0, NULL);
    const json_t *list = json_object_get(json_array_get(json_object_get(root, "placements"), 0), "in_the_way");
    assert_int_equal(json_array_size(list), 2);
    assert_string_equal(json_string_value(json_object_get(json_array_get(list, 0), "device")), "far");
    assert_true(json_is_null(json_object_get(json_array_get(list, 0), "short_db"))); /* there is no link at all */
    assert_true(json_is_null(json_object_get(json_array_get(list, 1), "device")));
    assert_int_equal(json_integer_value(json_object_get(json_array_get(list, 1), "amount")), 2);
    json_decref(root);
    earshot_text_clear(&text);
    const earshot_look look = {false, 400};
    earshot_present_placement(&p, &look, &text);
    assert_non_null(
        strstr(text.data, "Not every device can be served. In the way:\n  - far \"Far door\" cannot be wired"));
    assert_non_null(strstr(text.data, "\n  - the panel lacks 2 wired inputs"));
    earshot_text_clear(&text);
}

static void the_first_difference_that_counts_is_told(void **state)
{
    (void)state;
    const earshot_choice base = {.cost = 120.25, .worst_db = 9.5, .n_repeaters = 1, .n_wired = 2};
    static const struct {
        double cost, worst_db;
        size_t n_unserved, n_repeaters, n_wired;
        const char *words;
    } NEXT[] = {
        {100.0, 9.5, 1, 1, 2, "it leaves 1 device fewer without a way than the next"},
        {130.5, 12.0, 0, 1, 2, "it costs 10.25 less than the next: its cables are shorter or easier"},
        {130.5, 12.0, 0, 0, 5, "it costs 10.25 less than the next: it takes 1 repeater more, 3 wires fewer"},
        {120.25, 8.25, 0, 1, 2, "it costs as much as the next, but its weakest link has 1.2 dB more in hand"},
        {120.25, 9.5, 0, 2, 2, "it is as good as the next with fewer repeaters"},
        {120.25, 9.5, 0, 1, 2, "it is as good as the next; the order is that of the names"},
    };
    for (size_t i = 0; i < sizeof NEXT / sizeof NEXT[0]; i++) {
        const earshot_choice next = {.cost = NEXT[i].cost,
                                     .worst_db = NEXT[i].worst_db,
                                     .n_unserved = NEXT[i].n_unserved,
                                     .n_repeaters = NEXT[i].n_repeaters,
                                     .n_wired = NEXT[i].n_wired};
        earshot_text text = {0};
        es_beats_words(&base, &next, &text);
        says(&text, NEXT[i].words);
    }
    earshot_choice wired = base;
    wired.worst_db = INFINITY;
    earshot_text text = {0};
    es_beats_words(&wired, &base, &text);
    says(&text, "it costs as much as the next, but hangs on no radio link at all");
}

static void the_channel_is_judged(void **state)
{
    (void)state;
    earshot_load load = {.duty_limit = NAN};
    earshot_text text = {0};
    es_load_words(&f.p, &load, &text);
    says(&text, "nothing sends by radio");
    load = (earshot_load){.offered = 0.0123,
                          .collision = 0.0321,
                          .busiest = "far",
                          .busiest_duty = 0.00456,
                          .duty_limit = 0.01,
                          .assumed = true};
    es_load_words(&f.p, &load, &text);
    says(&text,
         "in a busy hour something is on air 1.23 % of the time, and a message meets another in 3.21 % of cases; "
         "the busiest transmitter, far, is on air 0.456 % of the time (published sub-band limit: 1 %); rates and "
         "airtimes that the plan does not state are assumed.");
    load.duty_limit = NAN;
    load.assumed = false;
    load.crowded = load.too_often = true;
    es_load_words(&f.p, &load, &text);
    assert_non_null(strstr(text.data, ". No rule is known here that allows its power at 868.30 MHz. TOO OFTEN ON AIR"));
    assert_non_null(strstr(text.data, "A CROWDED CHANNEL"));
    earshot_text_clear(&text);
}

static void a_proof_that_was_not_finished_is_told(void **state)
{
    (void)state;
    earshot_text text = {0};
    earshot_placement p = f.p;
    es_gap_words(&p, &text);
    says(&text, "");
    p.proven = false;
    es_gap_words(&p, &text);
    says(&text, "Time ran out before any arrangement was found: allow more with --seconds.");
    earshot_choice choice = {.cost = 160.0};
    p.choice = &choice;
    p.n_choices = 1;
    p.cost_bound = 152.3;
    es_gap_words(&p, &text);
    says(&text, "Time ran out: this is the best that was found, not proven to be the best there is. Nothing costs less "
                "than 152.30, so at most 7.70 (4.8 %) could be saved.");
}

static void a_cable_that_is_too_thin_is_told(void **state)
{
    (void)state;
    size_t drilled[] = {0, 1, 2, 3, 0, 1, 2, 3};
    earshot_cable c = {.length_m = 312.4,
                       .outdoor_m = 41.6,
                       .element = drilled,
                       .n_elements = 8,
                       .current_a = 0.35,
                       .section_mm2 = 2.5,
                       .far_v = 8.71};
    earshot_text text = {0};
    es_cable_words(f.site, &c, &text);
    assert_non_null(
        strstr(text.data, "312 m of cable, 42 m of it outdoors in a duct, drilled through the wall (thick), "));
    assert_non_null(strstr(text.data, " and 2 more; of 10.5 V"));
    assert_non_null(strstr(text.data, "8.7 V arrive over 2.5 mm2 at 350 mA, which is too little: it needs a supply"));
    earshot_text_clear(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_conditions_name_the_scenes),
        cmocka_unit_test(every_obstacle_is_told_with_what_helps),
        cmocka_unit_test(reasons_stand_in_json_and_in_the_table),
        cmocka_unit_test(the_first_difference_that_counts_is_told),
        cmocka_unit_test(the_channel_is_judged),
        cmocka_unit_test(a_proof_that_was_not_finished_is_told),
        cmocka_unit_test(a_cable_that_is_too_thin_is_told),
    };
    return cmocka_run_group_tests(tests, start, end);
}
