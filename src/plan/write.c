/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan as text, in one order and one spelling. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "plan/fields.h"

static void write_key(earshot_text *text, const es_field *field, const void *item)
{
    es_text_format(text, " %s=", field->key);
    es_field_write(field, item, text);
}

/* Whether the label is written right behind the name, as for what is defined once and then only named. */
static bool is_label_behind_name(const es_statement *statement)
{
    return statement->n_fields > 1 && statement->field[0].type == ES_FIELD_NAME &&
           statement->field[1].type == ES_FIELD_LABEL;
}
static void write_label(earshot_text *text, const es_statement *statement, const void *item)
{
    const es_field *label = es_field_find(statement, "label", 5);
    if (!label || es_field_equal(label, item, statement->fresh)) return;
    if (!is_label_behind_name(statement)) {
        write_key(text, label, item);
        return;
    }
    es_text_add_char(text, ' ');
    es_field_write(label, item, text);
}

static void write_positionals(earshot_text *text, const es_statement *statement, const void *item)
{
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        if (!field->positional) continue;
        es_text_add_char(text, ' ');
        es_field_write(field, item, text);
        if (field->type == ES_FIELD_NAME && is_label_behind_name(statement)) write_label(text, statement, item);
    }
}

/* What is not stated is not written. */
static void write_keys(earshot_text *text, const es_statement *statement, const void *item)
{
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        if (field->positional || field->type == ES_FIELD_LABEL) continue;
        if (statement->fresh && !field->required && es_field_equal(field, item, statement->fresh)) continue;
        write_key(text, field, item);
    }
    if (!is_label_behind_name(statement)) write_label(text, statement, item);
}

static void write_statement(earshot_text *text, const es_statement *statement, const void *item)
{
    es_text_add(text, statement->keyword);
    write_positionals(text, statement, item);
    if (statement->list == ES_LIST_NONE || statement->fresh) write_keys(text, statement, item);
    es_text_add_char(text, '\n');
}

static void write_capacity(earshot_text *text, const earshot_capacity *c)
{
    es_text_format(text, "capacity %s ", c->radio);
    const char *between = "";
    for (unsigned kind = 0; kind < EARSHOT_KINDS; kind++) {
        if (!(c->kinds >> kind & 1u)) continue;
        es_text_format(text, "%s%s", between, earshot_kind_name((earshot_kind)kind));
        between = ",";
    }
    es_text_format(text, "=%u\n", c->count);
}

/* Statements about the plan whose defaults are all there is to not stating them. */
static void write_if_not_default(earshot_text *text, const char *keyword, const earshot_plan *plan)
{
    const es_statement *statement = es_statement_find(keyword, strlen(keyword));
    const earshot_plan fresh = es_fresh_plan();
    bool differs = false;
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        if (es_field_equal(field, plan, &fresh)) continue;
        if (!differs) es_text_add(text, keyword);
        differs = true;
        write_key(text, field, plan);
    }
    if (differs) es_text_add_char(text, '\n');
}

static void write_head(earshot_text *text, const earshot_plan *plan)
{
    es_text_add(text, "plan 1\n");
    if (plan->site) write_statement(text, es_statement_find("site", 4), plan);
    if (plan->band_stated) es_text_add(text, "band");
    for (size_t i = 0; plan->band_stated && i < plan->n_bands; i++) {
        char band[ES_QUANTITY_TEXT];
        es_quantity_write(band, ES_FREQUENCY, plan->band_hz[i]);
        es_text_format(text, " %s%s", band, i + 1 == plan->n_bands ? "\n" : "");
    }
    if (plan->ground) write_statement(text, es_statement_find("ground", 6), plan);
    if (plan->need_stated) write_statement(text, es_statement_find("need", 4), plan);
    write_if_not_default(text, "inputs", plan);
    write_if_not_default(text, "cost", plan);
}

static const char *items_of(const earshot_plan *plan, es_list_id list, size_t *n)
{
    const char *items;
    memcpy(&items, es_member(plan, es_lists[list].items_at), sizeof items);
    *n = *(const size_t *)es_member(plan, es_lists[list].count_at);
    return items;
}

static bool is_of_plan(const void *item)
{
    return ((const earshot_place *)item)->file == ES_FILE_PLAN;
}

static void write_list(earshot_text *text, const earshot_plan *plan, es_list_id list)
{
    size_t n;
    const char *items = items_of(plan, list, &n);
    for (size_t i = 0; i < n; i++) {
        const void *item = items + i * es_lists[list].size;
        if (!is_of_plan(item)) continue;
        if (list == ES_LIST_CAPACITY)
            write_capacity(text, item);
        else
            write_statement(text, es_statement_of(list, item), item);
    }
}

/* Lists that a storey holds, each with how far it has been written: items of one storey lie together, storeys in
 * order. */
static const es_list_id IN_STOREY[] = {ES_LIST_SLAB,  ES_LIST_HOLE,     ES_LIST_WALL,  ES_LIST_OPENING, ES_LIST_BLOCK,
                                       ES_LIST_AVOID, ES_LIST_RECEIVER, ES_LIST_MOUNT, ES_LIST_DEVICE};
enum { N_IN_STOREY = sizeof IN_STOREY / sizeof IN_STOREY[0] };

static void write_in_storey(earshot_text *text, const earshot_plan *plan, es_list_id list, unsigned storey, size_t *at)
{
    size_t n;
    const char *items = items_of(plan, list, &n);
    for (; *at < n; ++*at) {
        const void *item = items + *at * es_lists[list].size;
        const es_statement *statement = es_statement_of(list, item);
        if (*(const unsigned *)es_member(item, statement->storey_at) != storey) return;
        write_statement(text, statement, item);
    }
}

static void write_storeys(earshot_text *text, const earshot_plan *plan)
{
    size_t at[N_IN_STOREY] = {0};
    for (unsigned s = 0; s < plan->n_storeys && is_of_plan(&plan->storey[s]); s++) {
        es_text_add_char(text, '\n');
        write_statement(text, es_statement_find("storey", 6), &plan->storey[s]);
        for (size_t i = 0; i < N_IN_STOREY; i++) write_in_storey(text, plan, IN_STOREY[i], s, &at[i]);
    }
}

earshot_status earshot_plan_write(const earshot_plan *plan, char **out)
{
    static const es_list_id DEFINITIONS[] = {ES_LIST_USE, ES_LIST_ELECTRICAL, ES_LIST_MATERIAL, ES_LIST_RADIO,
                                             ES_LIST_CAPACITY};
    earshot_text text = {0};
    *out = NULL;
    write_head(&text, plan);
    for (size_t i = 0; i < sizeof DEFINITIONS / sizeof DEFINITIONS[0]; i++) write_list(&text, plan, DEFINITIONS[i]);
    write_storeys(&text, plan);
    write_list(&text, plan, ES_LIST_SCENE);
    if (text.failed) {
        earshot_text_clear(&text);
        return EARSHOT_MEMORY;
    }
    *out = text.data;
    return EARSHOT_OK;
}

void earshot_text_free(char *text)
{
    free(text);
}
