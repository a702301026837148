/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench_embree.h"

bench_embree *bench_embree_new(const es_panel *panel, size_t n)
{
    (void)panel;
    (void)n;
    return NULL;
}

void bench_embree_free(bench_embree *embree)
{
    (void)embree;
}

size_t bench_embree_cross(bench_embree *embree, const earshot_vec3 *from, const earshot_vec3 *to, size_t n)
{
    (void)embree;
    (void)from;
    (void)to;
    (void)n;
    return 0;
}
