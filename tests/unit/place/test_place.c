/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Placement of whole plans: choices, wires, areas to avoid, scenes, what is written back, and what is refused. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "earshot/place.h"
#include "support/plans.h"

#define F_HZ 868.3e6

/* A long house: a thick wall with a gap at its upper end keeps the right half from the panel; the vault at the right is
 * sealed. `gap` hears both halves. */
#define HOUSE                                                                                                          \
    "plan 1\nband 868.3MHz\nneed margin=5dB confidence=95%\n"                                                          \
    "radio hub erp=14dBm sensitivity=-100dBm twoway=yes\nradio sensor erp=0dBm\n"                                      \
    "material thick loss=868:60dB spread=1dB\nmaterial sealed loss=868:150dB spread=1dB\n"                             \
    "storey g level=0m height=2.5m\n"                                                                                  \
    "wall thick 10,0 10,8\nwall stud 0,0 20,0 20,8 0,8 0,0\ndoor 10,6 10,7 material=open head=2.5m\n"                  \
    "slab timber-floor 0,0 20,0 20,8 0,8\n"                                                                            \
    "receiver panel 1,1 at=1.5m radio=hub\n"
#define FAR                                                                                                            \
    "device far-a contact 19,1 at=2m radio=sensor mounting=20dB\ndevice far-b contact 19,2 at=2m radio=sensor "        \
    "mounting=20dB\n"
#define GAP "mount gap 10.5,6.5 at=2m mains=yes receiver=no\n"

typedef struct house {
    earshot_plan *plan;
    earshot_site *site[2];
    size_t n_sites;
    earshot_placement placement;
} house;

static earshot_place_request request_of(const house *h)
{
    return (earshot_place_request){.site = (const earshot_site *const *)h->site,
                                   .n_sites = h->n_sites,
                                   .frequency_hz = F_HZ,
                                   .receiver = EARSHOT_NONE,
                                   .spacing_m = 1.0,
                                   .height_m = 2.0,
                                   .best = 5,
                                   .seconds = INFINITY};
}

static house open_house(const char *text, const char *scene)
{
    house h = {.plan = plan_of(text), .n_sites = scene ? 2 : 1};
    assert_int_equal(earshot_site_new(h.plan, NULL, &h.site[0], NULL), EARSHOT_OK);
    if (scene) assert_int_equal(earshot_site_new(h.plan, scene, &h.site[1], NULL), EARSHOT_OK);
    return h;
}

static const earshot_choice *place(house *h)
{
    const earshot_place_request request = request_of(h);
    assert_int_equal(earshot_place_run(&request, &h->placement, NULL), EARSHOT_OK);
    assert_true(h->placement.proven);
    assert_true(h->placement.n_choices > 0);
    return &h->placement.choice[0];
}

static void close_house(house *h)
{
    earshot_placement_clear(&h->placement);
    for (size_t i = 0; i < h->n_sites; i++) earshot_site_free(h->site[i]);
    earshot_plan_free(h->plan);
}

static const char *spot_name(const house *h, size_t spot)
{
    return h->placement.spot[spot].name;
}

static void test_one_repeater_or_two_wires_by_cost(void **state)
{
    (void)state;
    house h = open_house(HOUSE GAP FAR "cost repeater=30\n", NULL);
    const earshot_choice *c = place(&h);
    check_close(c->cost, 30.0, 0.0, "units");
    assert_int_equal(c->n_repeaters, 1);
    assert_string_equal(spot_name(&h, c->repeater[0].spot), "gap");
    assert_int_equal(c->repeater[0].n_devices, 2);
    assert_int_equal(c->repeater[0].reports_to, EARSHOT_NONE);
    assert_int_equal(c->device[0].verdict, EARSHOT_VERDICT_REPEATER);
    check_close(c->worst_db, fmin(c->device[0].dependable_db, c->device[1].dependable_db), 0.0, "dB");
    close_house(&h);
    h = open_house(HOUSE GAP FAR "cost repeater=300\n", NULL);
    c = place(&h);
    assert_int_equal(c->n_repeaters, 0);
    assert_int_equal(c->n_wired, 2);
    check_close(c->cost, c->device[0].cable.cost + c->device[1].cable.cost, 0.011, "units");
    assert_int_equal(c->device[0].cable.walls, 1);
    /* 0.3 m off the lower wall, to which it goes aslant by 0.7 m; 0.9 m up at the panel, 0.4 m down at the device */
    check_close(c->device[0].cable.length_m, 18.0 - 1.4 + 1.4 * sqrt(2.0) + 0.9 + 0.4, 0.5, "m");
    assert_true(c->device[0].cable.serves);
    close_house(&h);
}

static void test_the_receiver_moves_when_that_is_cheaper(void **state)
{
    (void)state;
    house h = open_house(
        HOUSE "mount middle 10.6,6.6 at=2m mains=yes\n" FAR "device near movement 4,1 at=2m radio=sensor\n", NULL);
    const earshot_choice *c = place(&h);
    assert_string_equal(spot_name(&h, c->spot), "middle");
    check_close(c->cost, 0.0, 0.0, "units");
    assert_int_equal(c->n_direct, 3);
    assert_true(h.placement.n_choices == 2);
    assert_string_equal(spot_name(&h, h.placement.choice[1].spot), "panel");
    close_house(&h);
}

static void test_avoided_and_unsupplied_places_are_left_out(void **state)
{
    (void)state;
    house h = open_house(HOUSE "mount middle 10.6,6.6 at=2m mains=yes\navoid 10.1,6 12,6 12,7.9 10.1,7.9\n" FAR, NULL);
    const earshot_choice *c = place(&h);
    assert_int_equal(h.placement.n_choices, 1);
    assert_string_equal(spot_name(&h, c->spot), "panel");
    assert_int_equal(c->n_repeaters, 0);
    close_house(&h);
    h = open_house("plan 1\nradio hub erp=14dBm sensitivity=-100dBm mains=yes\nstorey g level=0m height=2.5m\n"
                   "wall stud 0,0 20,0 20,8 0,8 0,0\nslab timber-floor 0,0 20,0 20,8 0,8\n"
                   "receiver panel 1,1 at=1.5m radio=hub\nmount dark 9,1 at=2m\nmount lit 9,3 at=2m mains=yes\n"
                   "mount yard 25,3 at=2m mains=yes\n",
                   NULL);
    place(&h);
    assert_int_equal(h.placement.n_choices, 2); /* panel, lit; outdoors is no place for a receiver */
    for (size_t i = 0; i < h.placement.n_spots; i++) {
        const earshot_spot *s = &h.placement.spot[i];
        assert_int_equal(s->repeats, strcmp(s->name, "dark") != 0);
        assert_int_equal(s->receives, strcmp(s->name, "dark") != 0 && strcmp(s->name, "yard") != 0);
    }
    close_house(&h);
}

static void test_holds_in_the_worst_scene(void **state)
{
    (void)state;
    const char *text = HOUSE GAP "device far contact 12,1 at=2m radio=sensor\nscene thin swap=thick:stud\n";
    house h = open_house(text, NULL);
    const earshot_choice *c = place(&h);
    assert_int_equal(c->n_direct, 0);
    close_house(&h);
    h = open_house(text, "thin");
    c = place(&h);
    assert_int_equal(c->n_direct, 0); /* thin alone would do, thick decides */
    assert_int_equal(h.placement.n_sites, 2);
    close_house(&h);
}

static void test_anywhere_finds_a_free_place(void **state)
{
    (void)state;
    house h = open_house(HOUSE FAR "device near movement 4,1 at=2m radio=sensor\navoid 0,0 20,0 20,1.5 0,1.5\n", NULL);
    earshot_place_request request = request_of(&h);
    request.anywhere = true;
    assert_int_equal(earshot_place_run(&request, &h.placement, NULL), EARSHOT_OK);
    assert_true(h.placement.n_spots > 30);
    check_close(h.placement.choice[0].cost, 0.0, 0.0, "units");
    for (size_t i = 0; i < h.placement.n_spots; i++) {
        const earshot_spot *s = &h.placement.spot[i];
        if (s->receiver != EARSHOT_NONE) continue;
        assert_true(s->point.x_m > 0.0 && s->point.x_m < 20.0 && s->point.y_m > 1.5 && s->point.y_m < 8.0);
        const bool in_gap = fabs(s->point.x_m - 10.0) < 0.2 && s->point.y_m > 6.0 && s->point.y_m < 7.0;
        assert_false(in_gap);
    }
    earshot_placement_clear(&h.placement);
    const bool none[1] = {false};
    request.storey = none;
    /* then there is only the panel, which is to be avoided */
    assert_int_equal(earshot_place_run(&request, &h.placement, NULL), EARSHOT_NO_SUCH_NAME);
    request.storey = NULL;
    request.spacing_m = 0.2;
    h.plan->n_avoids = 0;
    assert_int_equal(earshot_place_run(&request, &h.placement, NULL), EARSHOT_OK);
    close_house(&h);
}

/* The plan with the choice applied: check says that all is well, with the same margins. */
static void check_written(house *h)
{
    char *text;
    const earshot_choice *c = &h->placement.choice[0];
    assert_int_equal(earshot_placement_write(&h->placement, 0, &text), EARSHOT_OK);
    earshot_plan *plan = plan_of(text);
    earshot_site *site;
    earshot_check check;
    assert_int_equal(earshot_site_new(plan, NULL, &site, NULL), EARSHOT_OK);
    assert_int_equal(earshot_check_run(site, EARSHOT_MODEL_DIRECT, F_HZ, 0, NULL, &check, NULL), EARSHOT_OK);
    assert_true(check.all_direct);
    for (size_t d = 0; d < check.n_devices; d++) {
        const earshot_decision *decision = &check.device[d];
        assert_int_equal(decision->verdict, c->device[d].verdict);
        if (decision->verdict == EARSHOT_VERDICT_DIRECT)
            check_close(decision->link.dependable_db, c->device[d].dependable_db, 0.0, "dB");
        if (decision->verdict != EARSHOT_VERDICT_REPEATER) continue;
        check_close(decision->to_mount.dependable_db, c->device[d].dependable_db, 0.0, "dB");
        assert_string_equal(plan->mount[decision->mount].name, spot_name(h, (size_t)c->device[d].spot));
    }
    earshot_check_clear(&check);
    earshot_site_free(site);
    earshot_plan_free(plan);
    earshot_text_free(text);
}

static void test_what_is_written_checks_as_placed(void **state)
{
    (void)state;
    static const char *const TEXT[] = {
        HOUSE GAP FAR "cost repeater=30\n",
        HOUSE GAP FAR "cost repeater=300\n",
        HOUSE "mount middle 10.6,6.6 at=2m mains=yes on=wood\n" FAR "device near movement 4,1 at=2m radio=sensor\n",
        HOUSE "storey u level=2.7m height=2.5m\nmount up 10.5,6.5 at=0.2m mains=yes\n"
              "device loft movement 4,1 at=2m radio=sensor\n"
              "device bell sounder 15,7 at=2m radio=hub link=wire\nreceiver other 19,7 at=1m radio=hub\n",
    };
    for (size_t i = 0; i < sizeof TEXT / sizeof TEXT[0]; i++) {
        house h = open_house(TEXT[i], NULL);
        assert_int_equal(place(&h)->n_unserved, 0);
        check_written(&h);
        close_house(&h);
    }
    house h = open_house(HOUSE FAR "avoid 0,0 20,0 20,3 0,3\n", NULL);
    earshot_place_request request = request_of(&h);
    request.anywhere = true;
    assert_int_equal(earshot_place_run(&request, &h.placement, NULL), EARSHOT_OK);
    check_written(&h);
    char *text;
    assert_int_equal(earshot_placement_write(&h.placement, 99, &text), EARSHOT_ARGUMENT);
    assert_null(text);
    close_house(&h);
}

static void test_reasons_name_what_is_missing(void **state)
{
    (void)state;
    house h = open_house(HOUSE "device fob-far fob 19,1 at=1m radio=sensor mounting=50dB\n"
                               "device a contact 4,1 at=1m radio=sensor link=radio\n"
                               "device b contact 4,2 at=1m radio=sensor link=radio\ncapacity hub contact=1\n",
                         NULL);
    const earshot_choice *c = place(&h);
    assert_int_equal(c->n_unserved, 2);
    assert_false(c->device[0].served);
    assert_int_equal(h.placement.n_reasons, 2);
    assert_int_equal(h.placement.reason[0].obstacle, EARSHOT_OBSTACLE_NO_WAY);
    assert_int_equal(h.placement.reason[0].device, 0);
    assert_true(h.placement.reason[0].short_db > 20.0);
    assert_string_equal(spot_name(&h, (size_t)h.placement.reason[0].nearest), "panel");
    assert_int_equal(h.placement.reason[1].obstacle, EARSHOT_OBSTACLE_RECEIVER_FULL);
    assert_int_equal(h.placement.reason[1].capacity, 0);
    assert_int_equal(h.placement.reason[1].amount, 1);
    close_house(&h);
    h = open_house(HOUSE FAR "inputs onboard=1 expanders=0\n", NULL);
    place(&h);
    assert_int_equal(h.placement.n_reasons, 1);
    assert_int_equal(h.placement.reason[0].obstacle, EARSHOT_OBSTACLE_INPUTS);
    assert_int_equal(h.placement.reason[0].amount, 1);
    close_house(&h);
}

static void test_load_counts_what_is_sent_again(void **state)
{
    (void)state;
    house h =
        open_house("plan 1\nband 868.3MHz\nneed margin=5dB\ncost repeater=1\n"
                   "radio hub erp=14dBm sensitivity=-100dBm twoway=yes\n"
                   "radio chatty erp=0dBm messages=360 airtime=0.2s\n"
                   "material thick loss=868:60dB spread=1dB\nstorey g level=0m height=2.5m\n"
                   "wall thick 10,0 10,8\nwall stud 0,0 20,0 20,8 0,8 0,0\ndoor 10,6 10,7 material=open head=2.5m\n"
                   "slab timber-floor 0,0 20,0 20,8 0,8\nreceiver panel 1,1 at=1.5m radio=hub\n" GAP
                   "device far-a contact 19,1 at=2m radio=chatty mounting=20dB\n"
                   "device far-b contact 19,2 at=2m radio=chatty mounting=20dB\n",
                   NULL);
    const earshot_choice *c = place(&h);
    assert_int_equal(c->n_repeated, 2);
    /* each 360 * 0.2 / 3600 = 2 % of the time, and the repeater both again */
    check_close(c->load.offered, 0.08, 1e-12, "");
    check_close(c->load.busiest_duty, 0.04, 1e-12, "");
    assert_string_equal(c->load.busiest, "gap");
    check_close(c->load.duty_limit, 0.01, 0.0, "");
    assert_true(c->load.too_often);
    assert_true(c->load.crowded);
    assert_false(c->load.assumed);
    close_house(&h);
}

static void refuses(const house *h, earshot_place_request request, earshot_status status, const char *says)
{
    earshot_placement p = {.n_choices = 9};
    earshot_error error = {0};
    (void)h;
    assert_int_equal(earshot_place_run(&request, &p, &error), status);
    assert_int_equal(p.n_choices, 0);
    if (!strstr(error.message, says)) print_error("'%s' lacks '%s'\n", error.message, says);
    assert_non_null(strstr(error.message, says));
}

static void test_refuses_what_cannot_be(void **state)
{
    (void)state;
    house h = open_house(HOUSE FAR, NULL);
    earshot_place_request r = request_of(&h);
    r.best = 0;
    refuses(&h, r, EARSHOT_ARGUMENT, "not whole");
    r = request_of(&h);
    r.seconds = NAN;
    refuses(&h, r, EARSHOT_ARGUMENT, "not whole");
    r = request_of(&h);
    r.receiver = 1;
    refuses(&h, r, EARSHOT_ARGUMENT, "no such receiver");
    r = request_of(&h);
    r.anywhere = true;
    r.spacing_m = 0.01;
    refuses(&h, r, EARSHOT_ARGUMENT, "spacing");
    close_house(&h);
    h = open_house(HOUSE "avoid 0,0 2,0 2,2 0,2\n", NULL);
    refuses(&h, request_of(&h), EARSHOT_NO_SUCH_NAME, "no place for a receiver");
    close_house(&h);
    h = open_house(HOUSE "wall stud 0,4 20,4\n", NULL);
    r = request_of(&h);
    r.anywhere = true;
    r.spacing_m = 0.2;
    assert_int_equal(earshot_place_run(&r, &h.placement, NULL), EARSHOT_OK);
    close_house(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_repeater_or_two_wires_by_cost),
        cmocka_unit_test(test_the_receiver_moves_when_that_is_cheaper),
        cmocka_unit_test(test_avoided_and_unsupplied_places_are_left_out),
        cmocka_unit_test(test_holds_in_the_worst_scene),
        cmocka_unit_test(test_anywhere_finds_a_free_place),
        cmocka_unit_test(test_what_is_written_checks_as_placed),
        cmocka_unit_test(test_reasons_name_what_is_missing),
        cmocka_unit_test(test_load_counts_what_is_sent_again),
        cmocka_unit_test(test_refuses_what_cannot_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
