/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The same walls in Embree, two triangles each. Without Embree there is nothing to compare with: NULL. */
#ifndef BENCH_EMBREE_H
#define BENCH_EMBREE_H

#include "geometry/geometry.h"

typedef struct bench_embree bench_embree;

bench_embree *bench_embree_new(const es_panel *panel, size_t n);
void bench_embree_free(bench_embree *embree);
/* How many walls the segments cross. */
size_t bench_embree_cross(bench_embree *embree, const earshot_vec3 *from, const earshot_vec3 *to, size_t n);

#endif
