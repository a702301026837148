/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "unit/place/judge.h"

#include <math.h>

typedef struct trial {
    const es_programme *p;
    bool allow_unserved;
    judged now, best;
} trial;

static int sign(double a, double b)
{
    return (a > b) - (a < b);
}

/* Order of one device's way: direct, repeaters, wire, none. */
static long order_of(long way)
{
    return way == ES_WAY_WIRE ? 1000 : way == ES_WAY_NONE ? 1001 : way;
}

int judge_compare(const es_programme *p, const judged *a, const judged *b)
{
    int c = sign((double)a->n_unserved, (double)b->n_unserved);
    if (!c) c = sign((double)a->cost, (double)b->cost);
    if (!c) c = sign(b->worst_db, a->worst_db);
    if (!c) c = sign((double)a->n_repeaters, (double)b->n_repeaters);
    if (!c) c = sign((double)a->receiver, (double)b->receiver);
    /* Sorted lists of used repeaters, of equal length: the first that only one has decides. */
    for (size_t r = 0; !c && r < p->n_repeaters; r++) c = (b->up[r] != ES_UP_UNUSED) - (a->up[r] != ES_UP_UNUSED);
    for (size_t r = 0; !c && r < p->n_repeaters; r++) c = sign((double)a->up[r], (double)b->up[r]);
    for (size_t d = 0; !c && d < p->n_devices; d++) c = sign((double)order_of(a->way[d]), (double)order_of(b->way[d]));
    return c;
}

static bool within(const es_limit *limit, size_t n, const unsigned *per_kind)
{
    for (size_t k = 0; k < n; k++) {
        unsigned sum = 0;
        for (unsigned kind = 0; kind < 32; kind++)
            if ((limit[k].kinds & (1u << kind)) != 0) sum += per_kind[kind];
        if (sum > limit[k].count) return false;
    }
    return true;
}

static void weigh(trial *t)
{
    const es_programme *p = t->p;
    judged *now = &t->now;
    unsigned at_receiver[32] = {0}, at_repeater[JUDGE_MAX_REPEATERS][32] = {{0}};
    unsigned inputs = 0;
    now->cost = 0;
    now->n_unserved = 0;
    now->worst_db = INFINITY;
    for (size_t d = 0; d < p->n_devices; d++) {
        const long way = now->way[d];
        if (way == ES_WAY_NONE) now->n_unserved++;
        if (way == ES_WAY_WIRE) {
            inputs += p->device[d].inputs;
            now->cost += p->wire[now->receiver * p->n_devices + d];
        }
        if (way < ES_WAY_DIRECT) continue;
        at_receiver[p->device[d].kind]++;
        if (way >= 0) at_repeater[way][p->device[d].kind]++;
        const double db =
            way < 0 ? p->direct_db[now->receiver * p->n_devices + d] : p->heard_db[(size_t)way * p->n_devices + d];
        if (db < now->worst_db) now->worst_db = db;
    }
    if (!within(p->receiver[now->receiver].limit, p->receiver[now->receiver].n_limits, at_receiver)) return;
    now->n_repeaters = 0;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (now->up[r] == ES_UP_UNUSED) continue;
        if (!within(p->repeater[r].limit, p->repeater[r].n_limits, at_repeater[r])) return;
        now->n_repeaters++;
        now->cost += p->repeater[r].cost;
        const double db = now->up[r] < 0 ? p->up_db[now->receiver * p->n_repeaters + r]
                                         : p->relay_db[(size_t)now->up[r] * p->n_repeaters + r];
        if (db < now->worst_db) now->worst_db = db;
    }
    unsigned expanders = 0;
    while (p->onboard_inputs + expanders * p->expander_inputs < inputs && expanders <= p->max_expanders) expanders++;
    if (expanders > p->max_expanders) return;
    now->cost += expanders * p->expander_cost;
    now->found = true;
    if (!t->best.found || judge_compare(p, now, &t->best) < 0) t->best = *now;
}

static void try_devices(trial *t, size_t d)
{
    const es_programme *p = t->p;
    if (d == p->n_devices) {
        weigh(t);
        return;
    }
    const size_t receiver = t->now.receiver;
    if (p->device[d].radio && p->direct_db[receiver * p->n_devices + d] >= p->need_db) {
        t->now.way[d] = ES_WAY_DIRECT;
        try_devices(t, d + 1);
    }
    const bool enough = p->direct_db[receiver * p->n_devices + d] >= p->enough_db;
    for (size_t r = 0; r < p->n_repeaters && p->device[d].radio && !enough; r++) {
        if (t->now.up[r] == ES_UP_UNUSED || p->heard_db[r * p->n_devices + d] < p->need_db) continue;
        t->now.way[d] = (long)r;
        try_devices(t, d + 1);
    }
    if (p->wire[receiver * p->n_devices + d] != ES_COST_NONE) {
        t->now.way[d] = ES_WAY_WIRE;
        try_devices(t, d + 1);
    }
    if (t->allow_unserved) {
        t->now.way[d] = ES_WAY_NONE;
        try_devices(t, d + 1);
    }
}

/* Follow each repeater's reports upwards: must end at the receiver within the hops. */
static bool hops_hold(const trial *t)
{
    for (size_t r = 0; r < t->p->n_repeaters; r++) {
        if (t->now.up[r] == ES_UP_UNUSED) continue;
        unsigned hops = 1;
        for (long at = t->now.up[r]; at >= 0; at = t->now.up[at])
            if (++hops > 10 || t->now.up[at] == ES_UP_UNUSED) return false;
        if (hops > t->p->receiver[t->now.receiver].hops) return false;
    }
    return true;
}

static void try_repeaters(trial *t, size_t r, unsigned n_used)
{
    const es_programme *p = t->p;
    if (r == p->n_repeaters) {
        if (hops_hold(t)) try_devices(t, 0);
        return;
    }
    t->now.up[r] = ES_UP_UNUSED;
    try_repeaters(t, r + 1, n_used);
    const es_programme_receiver *receiver = &p->receiver[t->now.receiver];
    if (n_used == p->max_repeaters || p->repeater[r].spot == receiver->spot) return;
    for (long up = ES_UP_RECEIVER; up < (long)p->n_repeaters; up++) {
        if (up == (long)r || (up >= 0 && !p->relay_db)) continue;
        const double db =
            up < 0 ? p->up_db[t->now.receiver * p->n_repeaters + r] : p->relay_db[(size_t)up * p->n_repeaters + r];
        if (db < p->need_db) continue;
        t->now.up[r] = up;
        try_repeaters(t, r + 1, n_used + 1);
    }
    t->now.up[r] = ES_UP_UNUSED;
}

judged judge_best(const es_programme *programme, size_t receiver, bool allow_unserved)
{
    trial t = {.p = programme, .allow_unserved = allow_unserved, .now = {.receiver = receiver}};
    try_repeaters(&t, 0, 0);
    return t.best;
}
