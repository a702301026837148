/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "plan/fields.h"

static const void *item_of(const earshot_plan *plan, const es_list_info *info, size_t i)
{
    const char *items;
    memcpy(&items, es_member(plan, info->items_at), sizeof items);
    return items + i * info->size;
}

static size_t count_of(const earshot_plan *plan, const es_list_info *info)
{
    return *(const size_t *)es_member(plan, info->count_at);
}

static bool same_fields(const es_statement *statement, const void *a, const void *b)
{
    for (size_t i = 0; i < statement->n_fields; i++) {
        if (!es_field_equal(&statement->field[i], a, b)) return false;
    }
    if (!statement->in_storey) return true;
    return *(const unsigned *)es_member(a, statement->storey_at) ==
           *(const unsigned *)es_member(b, statement->storey_at);
}

static bool same_capacity(const earshot_capacity *a, const earshot_capacity *b)
{
    return strcmp(a->radio, b->radio) == 0 && a->kinds == b->kinds && a->count == b->count;
}

static bool same_item(es_list_id list, const void *a, const void *b)
{
    if (list == ES_LIST_CAPACITY) return same_capacity(a, b);
    const es_statement *statement = es_statement_of(list, a);
    return statement == es_statement_of(list, b) && same_fields(statement, a, b);
}

static bool same_list(es_list_id list, const earshot_plan *a, const earshot_plan *b)
{
    const es_list_info *info = &es_lists[list];
    const size_t n = count_of(a, info);
    if (n != count_of(b, info)) return false;
    for (size_t i = 0; i < n; i++) {
        if (!same_item(list, item_of(a, info, i), item_of(b, info, i))) return false;
    }
    return true;
}

static bool same_bands(const earshot_plan *a, const earshot_plan *b)
{
    if (a->n_bands != b->n_bands || a->band_stated != b->band_stated) return false;
    for (size_t i = 0; i < a->n_bands; i++) {
        if (a->band_hz[i] != b->band_hz[i]) return false;
    }
    return true;
}

bool earshot_plan_equal(const earshot_plan *a, const earshot_plan *b)
{
    if (!same_bands(a, b) || a->need_stated != b->need_stated) return false;
    for (size_t i = 0; i < es_n_statements; i++) {
        const es_statement *statement = &es_statements[i];
        if (statement->list == ES_LIST_NONE && !same_fields(statement, a, b)) return false;
    }
    for (es_list_id list = 0; list < ES_LISTS; list++) {
        if (!same_list(list, a, b)) return false;
    }
    return true;
}
