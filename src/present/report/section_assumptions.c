/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/report/sections.h"

static bool guards_life(const earshot_plan *plan)
{
    for (size_t i = 0; i < plan->n_devices; i++)
        if (earshot_kind_is_life_safety(plan->device[i].kind)) return true;
    return false;
}

static void item(const es_report *r, es_message message)
{
    ES_PUT(r->document, ES_BLOCK_ITEM, 0, message, "");
}

void es_section_assumptions(const es_report *report)
{
    char margin[ES_SAY_FIGURE], cases[ES_SAY_FIGURE];
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_ASSUMED, "");
    item(report, ES_SAY_ASSUMED_PLAN);
    item(report, ES_SAY_ASSUMED_DOORS);
    item(report, ES_SAY_ASSUMED_ROOMS);
    item(report, ES_SAY_ASSUMED_MATERIALS);
    ES_PUT(report->document, ES_BLOCK_ITEM, 0, ES_SAY_ASSUMED_NEED,
           es_report_db(report, margin, report->check->need.margin_db),
           es_say_figure(cases, report->language, report->check->need.confidence * 100.0, 0));
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_CAUTIONS, "");
    item(report, ES_SAY_CAUTION_TEST);
    if (guards_life(report->plan)) item(report, ES_SAY_CAUTION_LIFE);
    item(report, ES_SAY_CAUTION_DRILL);
    item(report, ES_SAY_CAUTION_MAINS);
    item(report, ES_SAY_CAUTION_LAW);
}
