/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Buildings for the benchmark of the rays model. */
#ifndef BENCH_RAYS_H
#define BENCH_RAYS_H

#include "earshot/earshot.h"
#include "propagation/rays.h"

/* A source made ready, and the processor time that took. */
typedef struct bench_scene {
    es_rays *rays;
    double prepare_s;
} bench_scene;

bench_scene bench_scene_new(const es_rays_input *input, double frequency_hz, earshot_vec3 source,
                            es_rays_options options);

enum { BENCH_SITES = 4 };

typedef struct bench_site {
    const char *what;
    earshot_plan *plan;
    earshot_site *site;
    es_rays_input input;
    size_t n_panels;
    double frequency_hz;
    earshot_vec3 source;
    earshot_point low, high; /* of the receiver's storey */
    unsigned storey;
} bench_site;

/* 0: house with garage, 1: terraced house, 2: office, 3: a warehouse of 100 m x 60 m with 24 rows of racking. Ends the
 * program when it cannot be. */
bench_site bench_site_new(size_t which);
/* Of a plan's text, which may be freed afterwards. */
bench_site bench_site_of(const char *what, const char *text);
void bench_site_free(bench_site *site);
/* One of n points spread evenly over the storey, 1.2 m up. */
earshot_vec3 bench_site_point(const bench_site *site, size_t point, size_t n);
/* A map of the storey as the program makes it, cells of 0.25 m, on as many threads as the environment (OMP_NUM_THREADS)
 * allows: prints its time. */
void bench_map(const bench_site *site);
/* The same for cells of any size, without a word. Returns how many there are. */
double bench_fill(const bench_site *site, double cell_m);
/* How the time grows with cells and with walls (bench_rays_growth.c). */
void bench_growth(void);

#endif
