/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is refused, and what happens when time or memory runs out. */
#include "support/check.h"

#include <glpk.h>
#include <stdlib.h>

#include "unit/place/sample.h"

static es_programme_options options_of(size_t best, double seconds, int memory_mb)
{
    return (es_programme_options){.best = best, .seconds = seconds, .memory_mb = memory_mb};
}

static sample *make(uint64_t seed)
{
    sample *s = malloc(sizeof *s);
    assert_non_null(s);
    sample_make(s, seed);
    return s;
}

static void refuses(const es_programme *p, es_programme_options options)
{
    es_programme_result result = {.n_best = 77};
    assert_int_equal(es_programme_solve(p, &options, &result), EARSHOT_ARGUMENT);
    assert_int_equal(result.n_best, 0);
    assert_null(result.best);
}

static void test_refuses_what_cannot_be(void **state)
{
    (void)state;
    sample *s = make(4711);
    const es_programme_options fine = options_of(1, 10.0, 0);
    refuses(&s->programme, options_of(0, 10.0, 0));
    refuses(&s->programme, options_of(1, NAN, 0));
    refuses(&s->programme, options_of(1, -0.25, 0));
    refuses(&s->programme, options_of(1, 10.0, -3));
    es_programme p = s->programme;
    p.n_receivers = 0;
    refuses(&p, fine);
    p = s->programme;
    p.need_db = NAN;
    refuses(&p, fine);
    p = s->programme;
    p.enough_db = p.need_db - 0.25;
    refuses(&p, fine);
    p = s->programme;
    p.expander_cost = -1;
    refuses(&p, fine);
    p = s->programme;
    p.n_devices = ES_PROGRAMME_MAX_DEVICES + 1;
    refuses(&p, fine);
    s->direct_db[0] = NAN;
    refuses(&s->programme, fine);
    s->direct_db[0] = INFINITY;
    refuses(&s->programme, fine);
    s->direct_db[0] = 3.25;
    s->wire[0] = ES_COST_MAX + 1;
    refuses(&s->programme, fine);
    s->wire[0] = 0;
    s->device[0].kind = 32;
    refuses(&s->programme, fine);
    free(s);
}

static void test_nothing_to_place_costs_nothing(void **state)
{
    (void)state;
    sample *s = make(99);
    s->programme.n_devices = 0;
    const es_programme_options options = options_of(1, INFINITY, 0);
    es_programme_result result;
    assert_int_equal(es_programme_solve(&s->programme, &options, &result), EARSHOT_OK);
    assert_int_equal(result.n_best, 1);
    assert_int_equal(result.best[0].cost, 0);
    assert_int_equal(result.best[0].receiver, 0);
    assert_true(result.best[0].worst_db == INFINITY);
    es_programme_result_clear(&result);
    free(s);
}

static void test_scenes_fold_to_the_worst(void **state)
{
    (void)state;
    double worst[] = {7.25, -3.5, 12.75, -INFINITY};
    const double scene[] = {9.5, -4.25, 12.5, 30.0};
    es_programme_fold(worst, scene, 4);
    check_close(worst[0], 7.25, 0.0, "dB");
    check_close(worst[1], -4.25, 0.0, "dB");
    check_close(worst[2], 12.5, 0.0, "dB");
    assert_true(worst[3] == -INFINITY);
}

/* --- a problem that takes the solver a while: many repeaters that each hear a few devices ----------------
 */

enum { N_DEVICES = 90, N_REPEATERS = 240 };

typedef struct large {
    es_programme programme;
    es_programme_device device[N_DEVICES];
    es_programme_receiver receiver;
    es_programme_repeater repeater[N_REPEATERS];
    double direct_db[N_DEVICES], heard_db[N_REPEATERS * N_DEVICES], up_db[N_REPEATERS];
    es_cost wire[N_DEVICES];
    es_limit limit; /* of each repeater: three devices */
} large;

static large *make_large(size_t hears)
{
    large *l = calloc(1, sizeof *l);
    assert_non_null(l);
    l->limit = (es_limit){~0u, 3};
    for (size_t d = 0; d < N_DEVICES; d++) {
        l->device[d].radio = true;
        l->direct_db[d] = -INFINITY;
        l->wire[d] = 4000 + (es_cost)(d * 37 % 101);
    }
    for (size_t r = 0; r < N_REPEATERS; r++) {
        l->repeater[r] = (es_programme_repeater){1 + r, 6000 + (es_cost)(r * 53 % 211), &l->limit, 1};
        l->up_db[r] = 10.0;
        for (size_t d = 0; d < N_DEVICES; d++) l->heard_db[r * N_DEVICES + d] = -INFINITY;
        for (size_t i = 0; i < hears; i++)
            l->heard_db[r * N_DEVICES + (r * (7 + 11 * i) + i * i * 31) % N_DEVICES] = 9.0;
    }
    l->receiver = (es_programme_receiver){.spot = 0, .hops = 1};
    l->programme = (es_programme){.n_devices = N_DEVICES,
                                  .n_receivers = 1,
                                  .n_repeaters = N_REPEATERS,
                                  .device = l->device,
                                  .receiver = &l->receiver,
                                  .repeater = l->repeater,
                                  .direct_db = l->direct_db,
                                  .heard_db = l->heard_db,
                                  .up_db = l->up_db,
                                  .wire = l->wire,
                                  .need_db = 6.0,
                                  .enough_db = INFINITY,
                                  .max_repeaters = N_REPEATERS};
    return l;
}

static void test_out_of_time_gives_what_was_found_and_the_gap(void **state)
{
    (void)state;
    large *l = make_large(3);
    const es_programme_options none = options_of(1, 0.0, 0), all = options_of(1, INFINITY, 0);
    es_programme_result hasty, full;
    assert_int_equal(es_programme_solve(&l->programme, &none, &hasty), EARSHOT_OK);
    assert_false(hasty.proven);
    assert_int_equal(hasty.n_best, 1);
    assert_false(hasty.best[0].proven);
    assert_int_equal(es_programme_solve(&l->programme, &all, &full), EARSHOT_OK);
    assert_true(full.proven);
    print_message("cost %lld found at once, bound %lld; best %lld\n", (long long)hasty.best[0].cost,
                  (long long)hasty.cost_bound, (long long)full.best[0].cost);
    assert_true(hasty.cost_bound > 0);
    assert_true(hasty.cost_bound <= full.best[0].cost);
    assert_true(full.best[0].cost < hasty.best[0].cost);
    es_programme_result_clear(&hasty);
    es_programme_result_clear(&full);
    free(l);
}

static void test_out_of_memory_in_the_solver_is_a_status(void **state)
{
    (void)state;
    if (!glp_config("TLS")) skip();
    large *l = make_large(40);
    const es_programme_options tight = options_of(1, INFINITY, 1);
    es_programme_result result;
    assert_int_equal(es_programme_solve(&l->programme, &tight, &result), EARSHOT_MEMORY);
    assert_null(result.best);
    free(l);
}

static void test_leaves_the_programs_own_solver_alone(void **state)
{
    (void)state;
    if (!glp_config("TLS")) skip();
    glp_prob *own = glp_create_prob();
    glp_add_cols(own, 3);
    const int terminal = glp_term_out(GLP_ON);
    large *l = make_large(3);
    const es_programme_options options = options_of(1, INFINITY, 0);
    es_programme_result result;
    assert_int_equal(es_programme_solve(&l->programme, &options, &result), EARSHOT_OK);
    assert_int_equal(glp_get_num_cols(own), 3);
    assert_int_equal(glp_term_out(terminal), GLP_ON);
    es_programme_result_clear(&result);
    glp_delete_prob(own);
    glp_free_env();
    free(l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_refuses_what_cannot_be),
        cmocka_unit_test(test_nothing_to_place_costs_nothing),
        cmocka_unit_test(test_scenes_fold_to_the_worst),
        cmocka_unit_test(test_out_of_time_gives_what_was_found_and_the_gap),
        cmocka_unit_test(test_out_of_memory_in_the_solver_is_a_status),
        cmocka_unit_test(test_leaves_the_programs_own_solver_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
