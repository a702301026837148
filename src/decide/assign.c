/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answering one question: what is plain is settled here, the rest by the solver. */
#include "decide/assign.h"

#include "base/arena.h"

static size_t inputs_taken(const es_question *question, const es_answer *answer)
{
    const es_programme *p = question->programme;
    size_t inputs = 0;
    for (size_t d = 0; d < p->n_devices; d++)
        if (answer->way[d] == ES_WAY_WIRE) inputs += p->device[d].inputs;
    return inputs;
}

/* Expanders needed for so many inputs; one more than allowed when that is not enough. */
static unsigned expanders_for(const es_programme *p, size_t inputs)
{
    if (inputs <= p->onboard_inputs) return 0;
    const size_t over = inputs - p->onboard_inputs;
    if (!p->expander_inputs) return p->max_expanders + 1;
    const size_t needed = (over + p->expander_inputs - 1) / p->expander_inputs;
    return needed > p->max_expanders ? p->max_expanders + 1 : (unsigned)needed;
}

void es_answer_total(const es_question *question, es_answer *answer)
{
    const es_programme *p = question->programme;
    answer->cost = 0;
    answer->n_repeaters = answer->n_unserved = 0;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (!answer->used[r]) continue;
        answer->n_repeaters++;
        answer->cost += p->repeater[r].cost;
    }
    for (size_t d = 0; d < p->n_devices; d++) {
        if (answer->way[d] == ES_WAY_WIRE) answer->cost += p->wire[question->receiver * p->n_devices + d];
        if (answer->way[d] == ES_WAY_NONE) answer->n_unserved++;
    }
    answer->expanders = expanders_for(p, inputs_taken(question, answer));
    answer->cost += answer->expanders * p->expander_cost;
}

static bool way_is_open(const es_question *question, const es_answer *answer, size_t device)
{
    const long way = answer->way[device];
    if (way == ES_WAY_DIRECT) return es_may_go_direct(question, device);
    if (way == ES_WAY_WIRE) return es_may_wire(question, device);
    if (way == ES_WAY_NONE) return question->forced[device] == ES_WAY_ANY || question->forced[device] == ES_WAY_NONE;
    return way >= 0 && answer->used[way] && es_may_hear(question, (size_t)way, device);
}

static bool limits_hold(const es_question *question, const es_answer *answer)
{
    const es_programme *p = question->programme;
    const es_programme_receiver *receiver = &p->receiver[question->receiver];
    for (size_t k = 0; k < receiver->n_limits; k++) {
        size_t n = 0;
        for (size_t d = 0; d < p->n_devices; d++)
            n += answer->way[d] >= ES_WAY_DIRECT && receiver->limit[k].kinds >> p->device[d].kind & 1u;
        if (n > receiver->limit[k].count) return false;
    }
    for (size_t r = 0; r < p->n_repeaters; r++) {
        for (size_t k = 0; k < p->repeater[r].n_limits; k++) {
            size_t n = 0;
            for (size_t d = 0; d < p->n_devices; d++)
                n += answer->way[d] == (long)r && p->repeater[r].limit[k].kinds >> p->device[d].kind & 1u;
            if (n > p->repeater[r].limit[k].count) return false;
        }
    }
    return true;
}

static bool repeaters_hold(const es_question *question, const es_answer *answer)
{
    const es_programme *p = question->programme;
    const es_programme_receiver *receiver = &p->receiver[question->receiver];
    bool some = question->some_from == question->some_to;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (question->use[r] == ES_USE_IN && !answer->used[r]) return false;
        if (!answer->used[r]) continue;
        if (question->use[r] == ES_USE_OUT || p->repeater[r].spot == receiver->spot) return false;
        if (r >= question->some_from && r < question->some_to) some = true;
    }
    return some && answer->n_repeaters <= p->max_repeaters && answer->n_repeaters <= question->repeater_limit;
}

bool es_answer_keeps(const es_question *question, const es_answer *answer)
{
    const es_programme *p = question->programme;
    size_t chosen_unserved = 0;
    for (size_t d = 0; d < p->n_devices; d++) {
        if (!way_is_open(question, answer, d)) return false;
        chosen_unserved += answer->way[d] == ES_WAY_NONE && question->forced[d] != ES_WAY_NONE;
    }
    return chosen_unserved <= question->unserved_limit && answer->cost <= question->cost_limit &&
           answer->expanders <= p->max_expanders && repeaters_hold(question, answer) && limits_hold(question, answer);
}

/* Is there anything left to choose? */
static bool is_open(const es_reduced *reduced)
{
    const es_programme *p = reduced->question->programme;
    for (size_t k = 0; k < p->receiver[reduced->question->receiver].n_limits; k++)
        if (reduced->limit_binds[k]) return true;
    for (size_t r = 0; r < p->n_repeaters; r++)
        if (reduced->use[r] == ES_USE_FREE || (reduced->use[r] == ES_USE_IN && reduced->tight[r])) return true;
    return false;
}

static long only_way(const es_reduced *reduced, size_t device)
{
    const es_question *q = reduced->question;
    if (reduced->direct[device]) return ES_WAY_DIRECT;
    if (!reduced->cover[device]) return ES_WAY_NONE;
    for (size_t r = 0; r < q->programme->n_repeaters; r++)
        if (reduced->use[r] == ES_USE_IN && es_may_hear(q, r, device)) return (long)r;
    return reduced->wire[device] ? ES_WAY_WIRE : ES_WAY_NONE;
}

/* With no choice left the ways are fixed: by radio where possible, else by wire. If that breaks a rule, nothing else
 * keeps it, unless devices may go without. */
static bool settle(const es_reduced *reduced, es_answer *answer)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    if (is_open(reduced) || q->aim == ES_AIM_LIMITS) return false;
    for (size_t r = 0; r < p->n_repeaters; r++) answer->used[r] = reduced->use[r] == ES_USE_IN;
    for (size_t d = 0; d < p->n_devices; d++) answer->way[d] = only_way(reduced, d);
    es_answer_total(q, answer);
    const bool keeps = es_answer_keeps(q, answer);
    if (q->unserved_limit && (!keeps || answer->n_unserved)) return false;
    if (reduced->relaxed && !keeps) return false; /* what is broken may be just what was forgotten */
    answer->finding = keeps ? ES_FOUND : ES_NOT_FOUND;
    answer->any = keeps;
    answer->cost_bound = answer->cost;
    return true;
}

static earshot_status answer_reduced(const es_reduced *reduced, es_answer *answer)
{
    const es_question *q = reduced->question;
    answer->finding = ES_NOT_FOUND;
    answer->any = false;
    if (reduced->impossible) return EARSHOT_OK;
    if (settle(reduced, answer)) return EARSHOT_OK;
    es_cost bound = 0;
    earshot_status status = es_lower_bound(reduced, &bound);
    if (status) return status;
    answer->cost_bound = bound;
    if (q->aim != ES_AIM_LIMITS && (bound == ES_COST_NONE || bound > q->cost_limit)) return EARSHOT_OK;
    const bool plain = q->aim == ES_AIM_COST && q->some_from == q->some_to && !q->unserved_limit && reduced->hops < 2;
    bool found = false;
    status = plain ? es_greedy(reduced, answer, &found) : EARSHOT_OK;
    if (status) return status;
    if (found && answer->cost == bound) {
        answer->finding = ES_FOUND;
        answer->any = true;
        return EARSHOT_OK;
    }
    answer->n_solves++;
    status = es_assign_glpk(reduced, answer);
    if (status || q->aim == ES_AIM_LIMITS) return status;
    if (found && !answer->any && answer->finding == ES_TIME_OUT) return es_greedy(reduced, answer, &answer->any);
    if (!answer->any) return EARSHOT_OK;
    es_answer_total(q, answer);
    if (answer->finding == ES_FOUND && q->aim == ES_AIM_COST) answer->cost_bound = answer->cost;
    return reduced->relaxed || es_answer_keeps(q, answer) ? EARSHOT_OK : EARSHOT_INTERNAL;
}

static bool is_tight(const es_reduced *reduced)
{
    for (size_t r = 0; r < reduced->question->programme->n_repeaters; r++)
        if (reduced->tight[r]) return true;
    return false;
}

static es_cost value(const es_question *question, const es_answer *answer)
{
    if (question->aim == ES_AIM_COST) return answer->cost;
    return (es_cost)(question->aim == ES_AIM_REPEATERS ? answer->n_repeaters : answer->n_unserved);
}

/* Solve relaxed, then exactly with just those repeaters: if that is as good, it is the answer. */
static earshot_status answer_relaxed(const es_question *question, struct es_arena *arena, es_answer *answer, bool *done)
{
    es_reduced reduced;
    earshot_status status = es_reduce(question, true, arena, &reduced);
    if (!status) status = answer_reduced(&reduced, answer);
    *done = status || !answer->any;
    if (*done) return status;
    *done = false;
    if (answer->finding != ES_FOUND) return EARSHOT_OK;
    const size_t n = question->programme->n_repeaters;
    unsigned char *use = es_arena_take(arena, n, 1);
    if (!use) return EARSHOT_MEMORY;
    for (size_t r = 0; r < n; r++) use[r] = answer->used[r] ? ES_USE_IN : ES_USE_OUT;
    const es_cost best = value(question, answer);
    es_question fixed = *question;
    fixed.use = use;
    fixed.some_from = fixed.some_to = 0;
    status = es_reduce(&fixed, false, arena, &reduced);
    if (!status) status = answer_reduced(&reduced, answer);
    *done = status || (answer->finding == ES_FOUND && value(question, answer) == best);
    return status;
}

earshot_status es_assign(const es_question *question, es_answer *answer)
{
    struct es_arena *arena = es_arena_new();
    if (!arena) return EARSHOT_MEMORY;
    es_reduced reduced;
    bool done = false;
    earshot_status status = es_reduce(question, false, arena, &reduced);
    if (!status && question->aim != ES_AIM_LIMITS && is_tight(&reduced))
        status = answer_relaxed(question, arena, answer, &done);
    if (!status && !done) status = answer_reduced(&reduced, answer);
    es_arena_free(arena);
    return status;
}
