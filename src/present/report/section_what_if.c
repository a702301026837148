/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the plan's scenes would change, and what to ask about before doing it. */
#include <string.h>

#include "base/text.h"
#include "present/report/sections.h"

static const char *scene_words(const es_report *r, const char *name)
{
    for (size_t i = 0; i < r->plan->n_scenes; i++)
        if (strcmp(r->plan->scene[i].name, name) == 0 && r->plan->scene[i].label) return r->plan->scene[i].label;
    return name;
}

static size_t count_changes(const es_report *r, const earshot_check *other)
{
    size_t n = 0;
    for (size_t i = 0; i < r->check->n_devices; i++)
        n += other->device[i].verdict != r->request->check[0].device[i].verdict;
    return n;
}

static void add_scene(const es_report *r, const earshot_check *other, const char *scene)
{
    const size_t n = count_changes(r, other);
    earshot_text changes = {0}, change = {0};
    size_t at = 0;
    if (n == 0) {
        ES_PUT(r->document, ES_BLOCK_ITEM, 0, ES_SAY_WHAT_IF_SAME, scene_words(r, scene));
        return;
    }
    for (size_t i = 0; i < r->check->n_devices; i++) {
        const earshot_verdict was = r->request->check[0].device[i].verdict, is = other->device[i].verdict;
        if (was == is) continue;
        change.size = 0;
        ES_SAY(&change, r->language, ES_SAY_WHAT_IF_CHANGE, es_report_device(r, i), es_say_verdict(r->language, was),
               es_say_verdict(r->language, is));
        es_report_list(r, &changes, change.data ? change.data : "", at++, n);
    }
    if (changes.failed || change.failed) r->document->status = EARSHOT_MEMORY;
    ES_PUT(r->document, ES_BLOCK_ITEM, 0, ES_SAY_WHAT_IF_CHANGES, scene_words(r, scene), changes.data);
    earshot_text_clear(&changes);
    earshot_text_clear(&change);
}

void es_section_what_if(const es_report *report)
{
    static const es_message CHANGE[] = {ES_SAY_CHANGE_FOIL, ES_SAY_CHANGE_VEHICLE, ES_SAY_CHANGE_FURNITURE,
                                        ES_SAY_CHANGE_MOVE, ES_SAY_CHANGE_RADIO};
    ES_PUT(report->document, ES_BLOCK_HEADING, 2, ES_SAY_WHAT_IF, "");
    for (size_t i = 1; i < report->request->n_checks; i++) {
        const earshot_check *other = &report->request->check[i];
        const char *scene = earshot_site_scene(other->site);
        if (scene && other->frequency_hz == report->check->frequency_hz) add_scene(report, other, scene);
    }
    ES_PUT(report->document, ES_BLOCK_PARAGRAPH, 0, ES_SAY_CHANGE_INTRO, "");
    for (size_t i = 0; i < sizeof CHANGE / sizeof CHANGE[0]; i++)
        ES_PUT(report->document, ES_BLOCK_ITEM, 0, CHANGE[i], "");
}
