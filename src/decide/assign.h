/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One question to the solver: for one receiver place, with links below a floor left out and some choices fixed, what
 * is the least cost (or the fewest repeaters, or the fewest devices without a way)? All of the order of preference in
 * programme.h is settled by such questions. */
#ifndef ES_ASSIGN_H
#define ES_ASSIGN_H

#include <time.h>

#include "decide/programme.h"

typedef enum es_use { ES_USE_FREE, ES_USE_IN, ES_USE_OUT } es_use;
typedef enum es_aim { ES_AIM_COST, ES_AIM_REPEATERS, ES_AIM_UNSERVED, ES_AIM_LIMITS } es_aim;

typedef struct es_question {
    const es_programme *programme;
    size_t receiver;
    es_aim aim;
    double floor_db;           /* links below it do not count; at least need_db */
    const unsigned char *use;  /* [n_repeaters] es_use */
    const long *forced;        /* [n_devices] a way, or ES_WAY_ANY */
    es_cost cost_limit;        /* ES_COST_NONE: none */
    unsigned repeater_limit;   /* besides programme->max_repeaters */
    size_t unserved_limit;     /* devices not forced to ES_WAY_NONE that may go without a way */
    size_t some_from, some_to; /* one of the repeaters some_from .. some_to - 1 must be used; equal: no such rule */
    const struct timespec *deadline; /* CLOCK_MONOTONIC; NULL: none */
    int memory_mb;
} es_question;

typedef enum es_finding { ES_FOUND, ES_NOT_FOUND, ES_TIME_OUT } es_finding;

/* What was found. ES_TIME_OUT with `any`: an arrangement, not proven best. */
typedef struct es_answer {
    es_finding finding;
    bool any;
    es_cost cost, cost_bound;
    size_t n_repeaters, n_unserved;
    unsigned expanders;
    bool *used;       /* [n_repeaters] caller's memory */
    long *way;        /* [n_devices] caller's memory */
    unsigned *lifted; /* ES_AIM_LIMITS: [n_limits + 3] by how much: receiver limits, repeater limits, repeaters,
                         inputs; caller's memory, NULL for other aims */
    size_t n_solves;  /* counted up */
} es_answer;

struct es_arena;

/* A reduced question, ready for the solver. */
typedef struct es_reduced {
    const es_question *question;
    struct es_arena *arena; /* owns the arrays */
    bool relaxed;
    bool impossible; /* a repeater that must be used cannot be */
    unsigned hops;
    unsigned char *use;   /* [n_repeaters] after reduction */
    unsigned char *depth; /* [n_repeaters] fewest hops to the receiver; 0: not reachable */
    bool *tight;          /* [n_repeaters] some limit of it may bind */
    bool *direct;         /* [n_devices] may go directly */
    bool *wire;           /* [n_devices] may be wired, and it can matter */
    bool *radio;          /* [n_devices] some way by radio is left */
    bool *cover;          /* [n_devices] needs a repeater, a wire, or goes without */
    bool *limit_binds;    /* [receiver's n_limits] */
} es_reduced;

/* Whether a device may go through a repeater, as far as this question's floor and fixed choices say. */
bool es_may_hear(const es_question *question, size_t repeater, size_t device);
bool es_may_go_direct(const es_question *question, size_t device);
bool es_may_wire(const es_question *question, size_t device);

/* Reachability, what can bind, and repeaters that another does as well as. Arrays live in the arena. Relaxed: what
 * repeaters can hold is forgotten, which makes a far smaller programme whose best is never worse than the real one.
 * EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status es_reduce(const es_question *question, bool relaxed, struct es_arena *arena, es_reduced *reduced);

/* A lower bound on the cost, found without the solver: prices paid by the devices to be served, such that no repeater
 * and no wire earns more than it costs (dual ascent for set covering: Erlenkotter 1978, Operations Research 26, for
 * facility location, from memory). Never above the optimum. ES_COST_NONE: a device has no way at all. */
earshot_status es_lower_bound(const es_reduced *reduced, es_cost *bound);

/* An arrangement by taking the repeater that saves most, again and again. *found: whether it keeps every rule.
 * EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status es_greedy(const es_reduced *reduced, es_answer *answer, bool *found);

/* Answer a question. EARSHOT_OK; EARSHOT_MEMORY; EARSHOT_INTERNAL (the solver failed). */
earshot_status es_assign(const es_question *question, es_answer *answer);

/* Cost, counts and expanders of the ways and used repeaters in the answer. */
void es_answer_total(const es_question *question, es_answer *answer);
/* Whether ways and used repeaters keep every rule of the question. */
bool es_answer_keeps(const es_question *question, const es_answer *answer);

/* Fewest hops of each repeater to the receiver among those not ES_USE_OUT, links at or above the floor; 0: none. */
void es_depths(const es_question *question, const unsigned char *use, unsigned hops, unsigned char *depth);

/* The GLPK side: solve the reduced question. EARSHOT_NOT_BUILT_IN without GLPK. */
earshot_status es_assign_glpk(const es_reduced *reduced, es_answer *answer);
/* To be called at the end of the thread that asked. */
void es_assign_glpk_end(void);
/* Whether GLPK is built in. */
bool es_assign_glpk_available(void);

#endif
