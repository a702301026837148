/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best arrangement, as numbers only: which receiver place, which repeaters, and how each device reaches the
 * receiver (directly, through one repeater, by wire). Solved exactly; docs/model/placement.md has the programme.
 *
 * Order of preference: fewest devices left without a way; least cost; largest worst margin of all radio links used;
 * fewest repeaters; then by index: receiver, repeaters, what each repeater reports to (the receiver first), what each
 * device uses (direct, repeaters by index, wire). Give devices, receivers and repeaters in order of their names, and
 * the last rules are an order by name. */
#ifndef ES_PROGRAMME_H
#define ES_PROGRAMME_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "earshot/error.h"

/* Hundredths of the plan's cost unit: whole numbers, so that equal costs are equal. */
typedef int64_t es_cost;
#define ES_COST_NONE INT64_MAX /* no such wire */

enum {
    ES_COST_MAX = 100000000, /* largest cost of one thing: a million units */
    ES_PROGRAMME_MAX_DEVICES = 10000,
    ES_PROGRAMME_MAX_PLACES = 2000 /* receivers; and as many repeaters */
};

/* At most `count` devices of these kinds (bit set, 1u << kind). */
typedef struct es_limit {
    unsigned kinds, count;
} es_limit;

typedef struct es_programme_device {
    unsigned kind;   /* below 32 */
    bool radio;      /* false: must be wired */
    unsigned inputs; /* of the panel, that it takes up when wired */
} es_programme_device;

typedef struct es_programme_receiver {
    size_t spot;           /* a repeater of the same spot cannot be used with it */
    unsigned hops;         /* repeaters in a row that its radio allows */
    const es_limit *limit; /* [n_limits] of devices by radio, directly or through repeaters */
    size_t n_limits;
} es_programme_receiver;

typedef struct es_programme_repeater {
    size_t spot;
    es_cost cost;
    const es_limit *limit; /* [n_limits] of devices that it hears itself */
    size_t n_limits;
} es_programme_repeater;

/* Margins are dependable margins of the worst scene, rounded to 0.01 dB; -INFINITY: no such link. */
typedef struct es_programme {
    size_t n_devices, n_receivers, n_repeaters;
    const es_programme_device *device;
    const es_programme_receiver *receiver;
    const es_programme_repeater *repeater;
    const double *direct_db; /* [n_receivers][n_devices] */
    const double *heard_db;  /* [n_repeaters][n_devices] */
    const double *up_db;     /* [n_receivers][n_repeaters] repeater to receiver */
    const double *relay_db;  /* [n_repeaters][n_repeaters]: column's repeater to row's; NULL if no radio has hops > 1 */
    const es_cost *wire;     /* [n_receivers][n_devices]; ES_COST_NONE: cannot be wired to there */
    double need_db;
    double enough_db; /* a device that the receiver hears with that much does not go through a repeater */
    unsigned max_repeaters;
    unsigned onboard_inputs, expander_inputs, max_expanders;
    es_cost expander_cost;
} es_programme;

/* worst[i] = the smaller of itself and scene[i]: the arrangement must hold in every scene. */
void es_programme_fold(double *worst, const double *scene, size_t n);

/* How a device goes; 0 and above: through the repeater of that index. */
enum { ES_WAY_DIRECT = -1, ES_WAY_WIRE = -2, ES_WAY_NONE = -3, ES_WAY_ANY = -4 };
/* What a repeater reports to; 0 and above: another repeater. */
enum { ES_UP_RECEIVER = -1, ES_UP_UNUSED = -2 };

typedef struct es_arrangement {
    size_t receiver;
    size_t n_unserved; /* devices without a way */
    es_cost cost;
    es_cost cost_bound; /* no arrangement for this receiver costs less; = cost when proven */
    double worst_db;    /* smallest margin of the radio links used; INFINITY if there are none */
    bool proven;        /* cost and worst_db are proven best; false only when time ran out */
    size_t n_repeaters;
    unsigned expanders;
    long *up;  /* [programme n_repeaters] */
    long *way; /* [n_devices] */
} es_arrangement;

typedef enum es_reason_kind {
    ES_REASON_NO_WAY,         /* device: no radio link has the margin, and it cannot be wired */
    ES_REASON_RECEIVER_LIMIT, /* limit: `amount` devices more than the receiver holds */
    ES_REASON_REPEATER_LIMIT, /* repeaters hold `amount` devices too few, each */
    ES_REASON_REPEATERS,      /* `amount` repeaters more than allowed are needed */
    ES_REASON_INPUTS          /* the panel lacks `amount` wired inputs, expanders included */
} es_reason_kind;

/* One thing that stands in the way. */
typedef struct es_reason {
    es_reason_kind kind;
    size_t device; /* ES_REASON_NO_WAY */
    size_t limit;  /* ES_REASON_RECEIVER_LIMIT: index into the receiver's limits */
    unsigned amount;
    double short_db; /* ES_REASON_NO_WAY: what its best link lacks; INFINITY: there is no link at all */
    long nearest;    /* whose link that is: ES_WAY_DIRECT or a repeater; ES_WAY_NONE */
} es_reason;

typedef struct es_programme_options {
    size_t best;    /* arrangements wanted, one a receiver, 1 or more */
    double seconds; /* time allowed; INFINITY: as long as it takes */
    int memory_mb;  /* for the solver; 0: as much as it takes */
} es_programme_options;

typedef struct es_programme_result {
    es_arrangement *best; /* [n_best] best first */
    size_t n_best;
    es_reason *reason; /* [n_reasons] when best[0] leaves devices without a way: the smallest set of reasons */
    size_t n_reasons;
    es_cost cost_bound; /* no receiver place gives an arrangement that costs less */
    bool proven;        /* all of it; false when time ran out */
    size_t n_solves;    /* programmes given to the solver */
} es_programme_result;

/* EARSHOT_OK; EARSHOT_ARGUMENT (sizes, NaN, costs below 0 or too large); EARSHOT_NOT_BUILT_IN (no GLPK);
 * EARSHOT_MEMORY; EARSHOT_INTERNAL. The result is zeroed on failure; free it with es_programme_result_clear. GLPK runs
 * in a thread of its own, so that a program that uses GLPK itself is not disturbed. */
earshot_status es_programme_solve(const es_programme *programme, const es_programme_options *options,
                                  es_programme_result *result);
void es_programme_result_clear(es_programme_result *result);

/* Whether the solver is built in. */
bool es_programme_available(void);

#endif
