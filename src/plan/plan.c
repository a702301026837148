/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a plan from its first byte to the last check: what users of the library call. */
#include "earshot/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/builtin.h"
#include "plan/check.h"
#include "plan/include.h"

#define DEFAULT_BAND_HZ 868.30e6
#define DEFAULT_MARGIN_DB 10.0
#define DEFAULT_CONFIDENCE 0.95
#define DEFAULT_REPEATERS 4 /* common practice, no source; so are the counts of inputs */

static const earshot_inputs DEFAULT_INPUTS = {.onboard = 8, .expander = 8, .expanders = 7};
/* What takes about as long as clipping so many metres of cable to a wall: our judgement, no source. */
static const earshot_costs DEFAULT_COSTS = {.repeater = 40.0,
                                            .cable = 1.0,
                                            .across = 1.5,
                                            .outdoor = 6.0,
                                            .wall = 4.0,
                                            .slab = 8.0,
                                            .point = 12.0,
                                            .expander = 30.0};

const char *earshot_builtin_materials(void)
{
    return (const char *)es_builtin_text;
}

void earshot_plan_free(earshot_plan *plan)
{
    if (plan) es_arena_free(plan->arena);
}

static void reader_clear(es_reader *reader)
{
    for (size_t i = 0; i < ES_LISTS; i++) free(reader->list[i].items);
    es_sources_clear(&reader->sources);
    es_names_clear(&reader->names);
    free(reader->tokens.token);
    free(reader->point);
}

earshot_plan es_fresh_plan(void)
{
    return (earshot_plan){
        .need_margin_db = DEFAULT_MARGIN_DB,
        .need_confidence = DEFAULT_CONFIDENCE,
        .need_repeaters = DEFAULT_REPEATERS,
        .inputs = DEFAULT_INPUTS,
        .cost = DEFAULT_COSTS,
    };
}

static bool reader_start(es_reader *reader, earshot_findings *findings)
{
    *reader = (es_reader){.arena = es_arena_new(), .storey = -1};
    es_report_start(&reader->report, findings, &reader->sources);
    if (!reader->arena) return false;
    reader->plan = es_arena_take(reader->arena, 1, sizeof *reader->plan);
    if (!reader->plan) return false;
    *reader->plan = es_fresh_plan();
    reader->plan->arena = reader->arena;
    return true;
}

/* Built-in things that the plan defines anew are taken out, and materials that another one replaces; the names then
 * point at the new places. */
static bool is_replaced(const es_reader *reader, es_space space, const char *name, size_t i)
{
    const es_named *named = es_names_find(&reader->names, space, name, NULL);
    return named && named->item != i;
}

static void drop_replaced_materials(es_reader *reader)
{
    es_list *list = &reader->list[ES_LIST_MATERIAL];
    earshot_material *material = list->items;
    size_t kept = 0;
    for (size_t i = 0; i < list->n; i++) {
        es_named *named = es_names_find(&reader->names, ES_SPACE_MATERIAL, material[i].name, NULL);
        if ((material[i].builtin || (named && named->replaces)) &&
            is_replaced(reader, ES_SPACE_MATERIAL, material[i].name, i))
            continue;
        named->item = kept;
        material[kept++] = material[i];
    }
    list->n = kept;
}

static void drop_replaced_electricals(es_reader *reader)
{
    es_list *list = &reader->list[ES_LIST_ELECTRICAL];
    earshot_electrical *electrical = list->items;
    size_t kept = 0;
    for (size_t i = 0; i < list->n; i++) {
        if (electrical[i].builtin && is_replaced(reader, ES_SPACE_ELECTRICAL, electrical[i].name, i)) continue;
        es_names_find(&reader->names, ES_SPACE_ELECTRICAL, electrical[i].name, NULL)->item = kept;
        electrical[kept++] = electrical[i];
    }
    list->n = kept;
}

static void mark_builtin(es_reader *reader)
{
    earshot_material *material = reader->list[ES_LIST_MATERIAL].items;
    earshot_electrical *electrical = reader->list[ES_LIST_ELECTRICAL].items;
    for (size_t i = 0; i < reader->list[ES_LIST_MATERIAL].n; i++) material[i].builtin = true;
    for (size_t i = 0; i < reader->list[ES_LIST_ELECTRICAL].n; i++) electrical[i].builtin = true;
}

/* Move the growing arrays to the plan. */
static bool settle_list(es_reader *reader, es_list_id list)
{
    const es_list_info *info = &es_lists[list];
    const es_list *l = &reader->list[list];
    void *items = es_arena_copy(reader->arena, l->items, l->n, info->size);
    if (!items) return false;
    memcpy((char *)reader->plan + info->items_at, &items, sizeof items);
    *(size_t *)(void *)((char *)reader->plan + info->count_at) = l->n;
    return true;
}

static bool settle_files(es_reader *reader)
{
    const size_t n = reader->sources.n;
    const char **file = es_arena_take(reader->arena, n, sizeof *file);
    if (!file) return false;
    for (size_t i = 0; i < n; i++) file[i] = reader->sources.item[i].name;
    reader->plan->file = file;
    reader->plan->n_files = n;
    return true;
}

static bool settle(es_reader *reader)
{
    earshot_plan *plan = reader->plan;
    drop_replaced_materials(reader);
    drop_replaced_electricals(reader);
    for (es_list_id list = 0; list < ES_LISTS; list++) {
        if (!settle_list(reader, list)) return false;
    }
    if (!plan->n_bands) plan->band_hz[plan->n_bands++] = DEFAULT_BAND_HZ;
    plan->need_stated = reader->once[es_statement_find("need", 4) - es_statements].line > 0;
    return settle_files(reader);
}

static void read_all(es_reader *reader)
{
    const es_source builtin = {.name = "built-in materials",
                               .text = (const char *)es_builtin_text,
                               .size = es_builtin_size,
                               .user = ES_FILE_BUILTIN};
    if (!es_add_source(reader, builtin)) return;
    es_read_source(reader, ES_FILE_BUILTIN);
    mark_builtin(reader);
    es_read_source(reader, ES_FILE_PLAN);
    if (reader->memory_out) return;
    if (!settle(reader))
        reader->memory_out = true;
    else if (!es_report_full(&reader->report) && !reader->give_up)
        es_check(reader);
}

static earshot_status outcome(const es_reader *reader)
{
    const earshot_findings *findings = reader->report.findings;
    if (reader->memory_out) return EARSHOT_MEMORY;
    return findings->n_mistakes ? findings->mistake[0].status : EARSHOT_OK;
}

static earshot_status finish(es_reader *reader, earshot_plan **plan)
{
    es_report_sort(&reader->report);
    const earshot_status status = outcome(reader);
    reader_clear(reader);
    if (status == EARSHOT_OK)
        *plan = reader->plan;
    else
        es_arena_free(reader->arena);
    return status;
}

earshot_status earshot_plan_read_file(const char *path, earshot_plan **plan, earshot_findings *findings)
{
    if (plan) *plan = NULL;
    if (!path || !plan || !findings) return EARSHOT_ARGUMENT;
    es_reader reader;
    if (!reader_start(&reader, findings))
        reader.memory_out = true;
    else if (es_load_plan(&reader, path))
        read_all(&reader);
    return finish(&reader, plan);
}

earshot_status earshot_plan_read(const char *text, size_t size, const char *name, earshot_plan **plan,
                                 earshot_findings *findings)
{
    if (plan) *plan = NULL;
    if ((!text && size) || !name || !plan || !findings) return EARSHOT_ARGUMENT;
    es_reader reader;
    if (!reader_start(&reader, findings)) {
        reader.memory_out = true;
        return finish(&reader, plan);
    }
    const es_source source = {.name = es_keep(&reader, name, strlen(name)), .text = size ? text : "", .size = size};
    if (source.name && es_check_size(&reader, name, size) && es_add_source(&reader, source)) read_all(&reader);
    return finish(&reader, plan);
}
