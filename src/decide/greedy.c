/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A good arrangement at once: the repeater that saves most, again and again. Not always the best and not always there;
 * it saves asking the solver where it meets the lower bound, and is what there is when time runs out. */
#include <string.h>

#include "base/arena.h"
#include "decide/assign.h"

typedef struct greedy {
    const es_reduced *reduced;
    const es_question *question;
    const es_programme *programme;
    es_answer *answer;
    unsigned *held; /* [limits of one repeater] devices it holds of each */
} greedy;

static es_cost wire_cost(const greedy *g, size_t device)
{
    return g->programme->wire[g->question->receiver * g->programme->n_devices + device];
}

/* What a device costs as it goes now; without a way, more than any wire. */
static es_cost cost_now(const greedy *g, size_t device)
{
    if (g->answer->way[device] == ES_WAY_NONE) return 2 * (es_cost)ES_COST_MAX;
    return g->answer->way[device] == ES_WAY_WIRE ? wire_cost(g, device) : 0;
}

static bool take_place(greedy *g, const es_programme_repeater *at, unsigned kind)
{
    for (size_t k = 0; k < at->n_limits; k++)
        if (at->limit[k].kinds >> kind & 1u && g->held[k] >= at->limit[k].count) return false;
    for (size_t k = 0; k < at->n_limits; k++) g->held[k] += at->limit[k].kinds >> kind & 1u;
    return true;
}

/* What a repeater would save, its own cost taken off; with `move` the devices are given to it. */
static es_cost saving(greedy *g, size_t repeater, bool move)
{
    const es_programme_repeater *at = &g->programme->repeater[repeater];
    es_cost saved = -at->cost;
    memset(g->held, 0, at->n_limits * sizeof *g->held);
    for (size_t d = 0; d < g->programme->n_devices; d++) {
        const es_cost cost = g->reduced->cover[d] ? cost_now(g, d) : 0;
        if (!cost || !es_may_hear(g->question, repeater, d)) continue;
        if (!take_place(g, at, g->programme->device[d].kind)) continue;
        saved += cost;
        if (move) g->answer->way[d] = (long)repeater;
    }
    return saved;
}

static void begin(greedy *g)
{
    const es_programme *p = g->programme;
    for (size_t r = 0; r < p->n_repeaters; r++) g->answer->used[r] = false;
    for (size_t d = 0; d < p->n_devices; d++) {
        const long otherwise = g->reduced->wire[d] ? ES_WAY_WIRE : ES_WAY_NONE;
        g->answer->way[d] = g->reduced->direct[d] ? ES_WAY_DIRECT : otherwise;
    }
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (g->reduced->use[r] != ES_USE_IN) continue;
        g->answer->used[r] = true;
        saving(g, r, true);
    }
}

static void add_repeaters(greedy *g)
{
    const es_programme *p = g->programme;
    const unsigned own = g->question->repeater_limit;
    const unsigned most = own < p->max_repeaters ? own : p->max_repeaters;
    for (unsigned n = 0; n < most; n++) {
        size_t best = p->n_repeaters;
        es_cost most_saved = 0;
        for (size_t r = 0; r < p->n_repeaters; r++) {
            if (g->reduced->use[r] != ES_USE_FREE || g->answer->used[r] || g->reduced->depth[r] != 1) continue;
            const es_cost saved = saving(g, r, false);
            if (saved <= most_saved) continue;
            most_saved = saved;
            best = r;
        }
        if (best == p->n_repeaters) return;
        g->answer->used[best] = true;
        saving(g, best, true);
    }
}

/* Wire the cheapest of those that are too many for the receiver. */
static void relieve(greedy *g, const es_limit *limit)
{
    const es_programme *p = g->programme;
    for (;;) {
        size_t n = 0, cheapest = p->n_devices;
        for (size_t d = 0; d < p->n_devices; d++) {
            if (g->answer->way[d] < ES_WAY_DIRECT || !(limit->kinds >> p->device[d].kind & 1u)) continue;
            n++;
            if (!g->reduced->wire[d]) continue;
            if (cheapest == p->n_devices || wire_cost(g, d) < wire_cost(g, cheapest)) cheapest = d;
        }
        if (n <= limit->count || cheapest == p->n_devices) return;
        g->answer->way[cheapest] = ES_WAY_WIRE;
    }
}

earshot_status es_greedy(const es_reduced *reduced, es_answer *answer, bool *found)
{
    const es_question *q = reduced->question;
    const es_programme *p = q->programme;
    const es_programme_receiver *receiver = &p->receiver[q->receiver];
    size_t most_limits = 0;
    for (size_t r = 0; r < p->n_repeaters; r++)
        if (p->repeater[r].n_limits > most_limits) most_limits = p->repeater[r].n_limits;
    greedy g = {reduced, q, p, answer, es_arena_take(reduced->arena, most_limits, sizeof(unsigned))};
    if (!g.held) return EARSHOT_MEMORY;
    begin(&g);
    add_repeaters(&g);
    for (size_t k = 0; k < receiver->n_limits; k++)
        if (reduced->limit_binds[k]) relieve(&g, &receiver->limit[k]);
    es_answer_total(q, answer);
    *found = es_answer_keeps(q, answer);
    return EARSHOT_OK;
}
