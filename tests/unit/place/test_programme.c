/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The optimum against trying every arrangement, a textbook example, and what is refused. */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "unit/place/judge.h"
#include "unit/place/sample.h"

enum { N_SAMPLES = 600 };

static es_programme_options options_for(size_t best)
{
    return (es_programme_options){.best = best, .seconds = INFINITY};
}

/* --- against the judge ----------------------------------------------------------------------------------------- */

/* All arrangements that a ranking may hold, best first. */
static size_t judge_ranking(const es_programme *p, judged *list)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n_receivers; i++) {
        const judged j = judge_best(p, i, false);
        if (j.found) list[n++] = j;
    }
    if (!n) {
        size_t fewest = p->n_devices;
        judged all[JUDGE_MAX_RECEIVERS];
        for (size_t i = 0; i < p->n_receivers; i++) {
            all[i] = judge_best(p, i, true);
            if (all[i].n_unserved < fewest) fewest = all[i].n_unserved;
        }
        for (size_t i = 0; i < p->n_receivers; i++)
            if (all[i].n_unserved == fewest) list[n++] = all[i];
    }
    for (size_t i = 1; i < n; i++)
        for (size_t k = i; k > 0 && judge_compare(p, &list[k], &list[k - 1]) < 0; k--) {
            const judged other = list[k];
            list[k] = list[k - 1];
            list[k - 1] = other;
        }
    return n;
}

static judged as_judged(const es_programme *p, const es_arrangement *a)
{
    judged j = {.found = true,
                .receiver = a->receiver,
                .n_unserved = a->n_unserved,
                .n_repeaters = a->n_repeaters,
                .cost = a->cost,
                .worst_db = a->worst_db};
    memcpy(j.up, a->up, p->n_repeaters * sizeof *a->up);
    memcpy(j.way, a->way, p->n_devices * sizeof *a->way);
    return j;
}

static void print_judged(const es_programme *p, const char *who, const judged *j)
{
    print_error("%s: receiver %zu unserved %zu cost %lld worst %g repeaters %zu; up", who, j->receiver, j->n_unserved,
                (long long)j->cost, j->worst_db, j->n_repeaters);
    for (size_t r = 0; r < p->n_repeaters; r++) print_error(" %ld", j->up[r]);
    print_error("; way");
    for (size_t d = 0; d < p->n_devices; d++) print_error(" %ld", j->way[d]);
    print_error("\n");
}

typedef struct counts {
    size_t feasible, unserved, repeated, chained, wired, solves;
} counts;

static void compare_one(uint64_t seed, counts *n)
{
    sample *s = malloc(sizeof *s);
    assert_non_null(s);
    sample_make(s, seed);
    const es_programme *p = &s->programme;
    judged expected[JUDGE_MAX_RECEIVERS];
    const size_t all = judge_ranking(p, expected);
    const size_t wanted = 1 + seed % 3;
    const es_programme_options options = options_for(wanted);
    es_programme_result result;
    assert_int_equal(es_programme_solve(p, &options, &result), EARSHOT_OK);
    assert_true(result.proven);
    assert_int_equal(result.n_best, wanted < all ? wanted : all);
    for (size_t i = 0; i < result.n_best; i++) {
        const judged got = as_judged(p, &result.best[i]);
        assert_true(result.best[i].proven);
        assert_int_equal(result.best[i].cost_bound, result.best[i].cost);
        if (judge_compare(p, &got, &expected[i]) == 0) continue;
        print_error("sample %llu, place %zu:\n", (unsigned long long)seed, i);
        print_judged(p, "solver", &got);
        print_judged(p, "judge", &expected[i]);
        fail();
    }
    n->feasible += result.best[0].n_unserved == 0;
    n->unserved += result.best[0].n_unserved > 0;
    n->repeated += result.best[0].n_repeaters > 0;
    for (size_t r = 0; r < p->n_repeaters; r++) n->chained += result.best[0].up[r] >= 0;
    for (size_t d = 0; d < p->n_devices; d++) n->wired += result.best[0].way[d] == ES_WAY_WIRE;
    n->solves += result.n_solves;
    es_programme_result_clear(&result);
    free(s);
}

static void test_optimum_is_that_of_trying_everything(void **state)
{
    (void)state;
    counts n = {0};
    for (uint64_t seed = 0; seed < N_SAMPLES; seed++) compare_one(seed, &n);
    print_message("%d samples: %zu feasible, %zu not, %zu with repeaters, %zu chained, %zu wires, %zu solves\n",
                  N_SAMPLES, n.feasible, n.unserved, n.repeated, n.chained, n.wired, n.solves);
    assert_true(n.feasible > 100 && n.unserved > 100 && n.repeated > 80 && n.chained > 10 && n.wired > 100);
}

/* --- reasons --------------------------------------------------------------------------------------------------- */

/* A copy in which limits can be raised. */
typedef struct raised {
    sample s;
    es_limit receiver_limit[2], repeater_limit[2];
} raised;

static void raise_limit(raised *r, const es_programme_receiver *at, size_t which, unsigned by)
{
    if (which < at->n_limits) r->s.receiver_limit[which].count += by;
    if (which == at->n_limits) {
        r->s.repeater_limit[0].count += by;
        r->s.repeater_limit[1].count += by;
    }
    if (which == at->n_limits + 1) r->s.programme.max_repeaters += by;
    if (which == at->n_limits + 2) r->s.programme.onboard_inputs += by;
}

static size_t index_of(const es_reason *reason, size_t n_limits)
{
    switch (reason->kind) {
    case ES_REASON_RECEIVER_LIMIT: return reason->limit;
    case ES_REASON_REPEATER_LIMIT: return n_limits;
    case ES_REASON_REPEATERS: return n_limits + 1;
    default: return n_limits + 2;
    }
}

/* Devices with no way at all, however many repeaters there are, get a way of their own. */
static size_t free_hopeless(sample *s, uint64_t seed, size_t receiver, bool *hopeless)
{
    sample_make(s, seed);
    size_t n = 0;
    for (size_t d = 0; d < s->programme.n_devices; d++) {
        sample *alone = malloc(sizeof *alone);
        assert_non_null(alone);
        sample_make(alone, seed);
        alone->programme.max_repeaters = (unsigned)alone->programme.n_repeaters;
        alone->programme.n_devices = 1;
        alone->device[0] = s->device[d];
        for (size_t i = 0; i < 2; i++) alone->receiver_limit[i].count = alone->repeater_limit[i].count = 99;
        alone->programme.onboard_inputs = 99;
        for (size_t i = 0; i < s->programme.n_receivers; i++) {
            alone->direct_db[i] = s->direct_db[i * s->programme.n_devices + d];
            alone->wire[i] = s->wire[i * s->programme.n_devices + d];
        }
        for (size_t r = 0; r < s->programme.n_repeaters; r++)
            alone->heard_db[r] = s->heard_db[r * s->programme.n_devices + d];
        hopeless[d] = !judge_best(&alone->programme, receiver, false).found;
        n += hopeless[d];
        free(alone);
    }
    for (size_t d = 0; d < s->programme.n_devices; d++) {
        if (!hopeless[d]) continue;
        s->device[d] = (es_programme_device){31, false, 0};
        s->wire[receiver * s->programme.n_devices + d] = 0;
    }
    return n;
}

static bool feasible_with(uint64_t seed, size_t receiver, unsigned subset, const unsigned *amount)
{
    raised *r = malloc(sizeof *r);
    assert_non_null(r);
    bool hopeless[JUDGE_MAX_DEVICES];
    free_hopeless(&r->s, seed, receiver, hopeless);
    const es_programme_receiver *at = &r->s.receiver[receiver];
    for (size_t i = 0; i < at->n_limits + 3; i++)
        if (subset >> i & 1u) raise_limit(r, at, i, amount[i]);
    const bool found = judge_best(&r->s.programme, receiver, false).found;
    free(r);
    return found;
}

static unsigned bits(unsigned set)
{
    return set ? (set & 1u) + bits(set >> 1) : 0;
}

static void check_reasons(uint64_t seed, size_t *n_devices, size_t *n_limits)
{
    static sample s;
    sample_make(&s, seed);
    const es_programme_options options = options_for(1);
    es_programme_result result;
    assert_int_equal(es_programme_solve(&s.programme, &options, &result), EARSHOT_OK);
    const size_t receiver = result.best[0].receiver, own = s.receiver[receiver].n_limits;
    if (!result.best[0].n_unserved) {
        assert_int_equal(result.n_reasons, 0);
        es_programme_result_clear(&result);
        return;
    }
    bool hopeless[JUDGE_MAX_DEVICES];
    sample spare;
    const size_t expected = free_hopeless(&spare, seed, receiver, hopeless);
    size_t hopeless_said = 0;
    unsigned lifted = 0, amount[8] = {0};
    const unsigned plenty[8] = {99, 99, 99, 99, 99, 99, 99, 99};
    for (size_t i = 0; i < result.n_reasons; i++) {
        const es_reason *reason = &result.reason[i];
        if (reason->kind == ES_REASON_NO_WAY) {
            assert_true(hopeless[reason->device]);
            assert_true(reason->short_db > 0.0);
            hopeless_said++;
            continue;
        }
        lifted |= 1u << index_of(reason, own);
        amount[index_of(reason, own)] = reason->amount;
    }
    assert_int_equal(hopeless_said, expected);
    assert_true(feasible_with(seed, receiver, lifted, amount));
    for (unsigned subset = 0; subset < 1u << (own + 3); subset++)
        if (bits(subset) < bits(lifted)) assert_false(feasible_with(seed, receiver, subset, plenty));
    for (size_t i = 0; i < own + 3; i++) { /* no amount can be one smaller */
        if (!(lifted >> i & 1u)) continue;
        amount[i]--;
        assert_false(feasible_with(seed, receiver, lifted, amount));
        amount[i]++;
    }
    *n_devices += hopeless_said;
    *n_limits += bits(lifted);
    es_programme_result_clear(&result);
}

static void test_reasons_are_the_fewest(void **state)
{
    (void)state;
    size_t n_devices = 0, n_limits = 0;
    for (uint64_t seed = 1000; seed < 1300; seed++) check_reasons(seed, &n_devices, &n_limits);
    print_message("reasons: %zu devices, %zu limits\n", n_devices, n_limits);
    assert_true(n_devices > 30 && n_limits > 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_optimum_is_that_of_trying_everything),
        cmocka_unit_test(test_reasons_are_the_fewest),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
