/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "unit/place/sample.h"

#include <math.h>

/* splitmix64 (Steele, Lea, Flood 2014), from memory */
static uint64_t next(uint64_t *state)
{
    uint64_t z = (*state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

static unsigned below(uint64_t *state, unsigned n)
{
    return (unsigned)(next(state) % n);
}

/* Few different values, so that ties are common. */
static double margin(uint64_t *state, double low, double step, unsigned n)
{
    const double db = round((low + step * below(state, n)) * 100.0) / 100.0;
    return below(state, 20) == 0 ? -INFINITY : db;
}

static void fill_margins(double *db, size_t n, uint64_t *state, double low)
{
    for (size_t i = 0; i < n; i++) db[i] = margin(state, low, 1.37, 15);
}

static void make_receivers(sample *s, uint64_t *state, bool limited)
{
    s->receiver_limit[0] = (es_limit){1u | 2u, below(state, 6)};
    s->receiver_limit[1] = (es_limit){2u | 4u, 1 + below(state, 4)};
    for (size_t i = 0; i < s->programme.n_receivers; i++)
        s->receiver[i] = (es_programme_receiver){i, below(state, 4), s->receiver_limit, limited ? below(state, 3) : 0};
}

static void make_repeaters(sample *s, uint64_t *state, bool limited)
{
    static const es_cost COSTS[] = {4000, 4000, 6550, 0};
    s->repeater_limit[0] = (es_limit){1u | 4u, 1 + below(state, 3)};
    s->repeater_limit[1] = (es_limit){7u, 1 + below(state, 4)};
    for (size_t r = 0; r < s->programme.n_repeaters; r++)
        s->repeater[r] = (es_programme_repeater){below(state, 3) ? 100 + r : r, COSTS[below(state, 4)],
                                                 s->repeater_limit, limited ? below(state, 3) : 0};
}

static void make_devices(sample *s, uint64_t *state)
{
    for (size_t d = 0; d < s->programme.n_devices; d++)
        s->device[d] = (es_programme_device){below(state, 3), below(state, 8) != 0, below(state, 5) != 0};
    const unsigned none_of = 2 + below(state, 4);
    for (size_t i = 0; i < s->programme.n_receivers * s->programme.n_devices; i++)
        s->wire[i] = below(state, none_of) ? (es_cost)(1000 + 505 * below(state, 6)) : ES_COST_NONE;
}

void sample_make(sample *s, uint64_t seed)
{
    uint64_t state = seed * 7919u + 13u;
    *s = (sample){0};
    es_programme *p = &s->programme;
    p->n_devices = 1 + below(&state, 7);
    p->n_receivers = 1 + below(&state, 3);
    p->n_repeaters = below(&state, 6);
    make_receivers(s, &state, below(&state, 2));
    make_repeaters(s, &state, below(&state, 2));
    make_devices(s, &state);
    const double low = -12.0 + below(&state, 10);
    fill_margins(s->direct_db, p->n_receivers * p->n_devices, &state, low - 2.0);
    fill_margins(s->heard_db, p->n_repeaters * p->n_devices, &state, low + 3.0);
    fill_margins(s->up_db, p->n_receivers * p->n_repeaters, &state, low + 3.0);
    fill_margins(s->relay_db, p->n_repeaters * p->n_repeaters, &state, low + 5.0);
    p->device = s->device;
    p->receiver = s->receiver;
    p->repeater = s->repeater;
    p->direct_db = s->direct_db;
    p->heard_db = s->heard_db;
    p->up_db = s->up_db;
    p->relay_db = below(&state, 6) ? s->relay_db : NULL;
    p->wire = s->wire;
    p->need_db = 0.5;
    p->enough_db = below(&state, 2) ? INFINITY : 3.0 + below(&state, 5);
    p->max_repeaters = below(&state, 4) ? 2 : below(&state, 2);
    p->onboard_inputs = below(&state, 4);
    p->expander_inputs = below(&state, 4);
    p->max_expanders = below(&state, 3);
    p->expander_cost = 1250;
}
