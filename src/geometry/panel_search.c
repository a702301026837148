/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/panel_search.h"

bool es_panel_search_plain(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    return search(g, line, passes, hits);
}

es_panel_search *es_panel_search_best(void)
{
#ifdef ES_HAVE_AVX2
    const bool has_all =
        __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") && __builtin_cpu_supports("bmi");
    if (has_all) return es_panel_search_avx2;
#endif
    return es_panel_search_plain;
}
