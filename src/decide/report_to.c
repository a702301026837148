/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the repeaters of an arrangement report to the receiver, and the weakest link of it all. */
#include <math.h>
#include <string.h>

#include "decide/search.h"

static bool is_used(const es_arrangement *a, size_t r)
{
    return a->up[r] != ES_UP_UNUSED;
}

static unsigned hops_allowed(const es_programme *p, const es_arrangement *a)
{
    const unsigned hops = p->receiver[a->receiver].hops;
    if (!p->relay_db) return hops ? 1 : 0;
    return hops < a->n_repeaters ? hops : (unsigned)a->n_repeaters;
}

/* Margin of the link by which r reports to `up`. */
static double link_db(const es_programme *p, const es_arrangement *a, size_t r, long up)
{
    if (up == ES_UP_RECEIVER) return p->up_db[a->receiver * p->n_repeaters + r];
    return p->relay_db[(size_t)up * p->n_repeaters + r];
}

/* Can all used repeaters reach the receiver within the hops, over links at or above the floor, when the first
 * `n_fixed` of them report as `up` says? The depths that follow from shortest paths are all smallest at once. */
static bool reaches(const es_programme *p, const es_arrangement *a, double floor_db, size_t n_fixed)
{
    const unsigned hops = hops_allowed(p, a);
    unsigned char depth[ES_PROGRAMME_MAX_PLACES];
    memset(depth, 0, p->n_repeaters);
    size_t missing = a->n_repeaters;
    for (unsigned h = 1; h <= hops && h < 255 && missing; h++) {
        for (size_t r = 0; r < p->n_repeaters; r++) {
            if (!is_used(a, r) || depth[r]) continue;
            for (long up = ES_UP_RECEIVER; up < (long)p->n_repeaters && !depth[r]; up++) {
                if (r < n_fixed && up != a->up[r]) continue;
                const bool stands = up == ES_UP_RECEIVER ? h == 1 : h > 1 && up != (long)r && depth[up] == h - 1;
                if (stands && link_db(p, a, r, up) >= floor_db) depth[r] = (unsigned char)h;
                if (h == 1) break;
            }
            if (depth[r]) missing--;
        }
    }
    return !missing;
}

bool es_arrangement_report(const es_programme *p, double floor_db, es_arrangement *a)
{
    if (!reaches(p, a, floor_db, 0)) return false;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (!is_used(a, r)) continue;
        for (long up = ES_UP_RECEIVER; up < (long)p->n_repeaters; up++) {
            if (up >= 0 && (!p->relay_db || up == (long)r || !is_used(a, (size_t)up))) continue;
            a->up[r] = up;
            if (link_db(p, a, r, up) >= floor_db && reaches(p, a, floor_db, r + 1)) break;
        }
    }
    return true;
}

/* The largest floor at which all used repeaters still reach the receiver: one of their own margins. */
static double widest_db(const es_programme *p, const es_arrangement *a, double below_db)
{
    double best = -INFINITY;
    for (size_t r = 0; r < p->n_repeaters; r++) {
        if (!is_used(a, r)) continue;
        for (long up = ES_UP_RECEIVER; up < (long)p->n_repeaters; up++) {
            if (up >= 0 && (!p->relay_db || up == (long)r || !is_used(a, (size_t)up))) continue;
            const double floor_db = fmin(link_db(p, a, r, up), below_db);
            if (floor_db > best && reaches(p, a, floor_db, 0)) best = floor_db;
        }
    }
    return best;
}

double es_arrangement_worst_db(const es_programme *p, const es_arrangement *a)
{
    double worst = INFINITY;
    for (size_t d = 0; d < p->n_devices; d++) {
        const long way = a->way[d];
        if (way == ES_WAY_DIRECT) worst = fmin(worst, p->direct_db[a->receiver * p->n_devices + d]);
        if (way >= 0) worst = fmin(worst, p->heard_db[(size_t)way * p->n_devices + d]);
    }
    return a->n_repeaters ? widest_db(p, a, worst) : worst;
}
