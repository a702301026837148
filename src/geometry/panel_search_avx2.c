/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/panel_search.h"

bool es_panel_search_avx2(const es_geometry *g, const es_line *line, es_passes *passes, es_hits *hits)
{
    return search(g, line, passes, hits);
}
