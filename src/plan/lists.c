/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The growing arrays of a plan being read, and the names of what is in them. */
#include <math.h>
#include <string.h>

#include "plan/reader.h"

static earshot_place keyword_place(const es_reader *reader)
{
    return es_token_place(reader, &reader->tokens.token[0]);
}

/* Said once for each list. */
static bool over_limit(es_reader *reader, es_list_id list, size_t limit, const char *what)
{
    if (reader->full & 1u << list) return false;
    reader->full |= 1u << list;
    es_hint(es_mistake(&reader->report, EARSHOT_PLAN_LIMIT, keyword_place(reader), "more than %zu %s", limit, what),
            "a plan has at most %zu of them", limit);
    return false;
}

bool es_list_add(es_reader *reader, es_list_id list, const void *item)
{
    const es_list_info *info = &es_lists[list];
    es_list *l = &reader->list[list];
    if (reader->n_pieces > EARSHOT_MAX_WALLS) {
        reader->n_pieces = EARSHOT_MAX_WALLS;
        return over_limit(reader, ES_LIST_WALL, EARSHOT_MAX_WALLS, "straight pieces of wall");
    }
    if (reader->file != ES_FILE_BUILTIN && l->n >= info->limit) {
        return over_limit(reader, list, info->limit, info->plural);
    }
    if (!es_grow(&l->items, &l->capacity, l->n, info->size)) {
        reader->memory_out = true;
        return false;
    }
    memcpy((char *)l->items + l->n * info->size, item, info->size);
    l->n++;
    return true;
}

void *es_list_item(const es_reader *reader, es_list_id list, size_t i)
{
    return (char *)reader->list[list].items + i * es_lists[list].size;
}

static const char *name_of(const es_statement *statement, const void *item)
{
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        if (field->type == ES_FIELD_NAME) return *(const char *const *)es_member(item, field->at);
    }
    return NULL;
}

/* Radios of one name are told apart by their bands. */
static bool same_band(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static es_named *find_taken(es_reader *reader, const es_named *wanted)
{
    es_named *found = es_names_find(&reader->names, wanted->space, wanted->name, NULL);
    while (found && wanted->space == ES_SPACE_RADIO && !same_band(found->band_hz, wanted->band_hz)) {
        found = es_names_find(&reader->names, wanted->space, wanted->name, found);
    }
    return found;
}

static earshot_place name_place(const es_reader *reader)
{
    for (size_t i = 1; i < reader->tokens.n; i++) {
        const es_token *token = &reader->tokens.token[i];
        if (!token->key && !token->quoted) return es_token_place(reader, token);
    }
    return keyword_place(reader);
}

static bool name_taken(es_reader *reader, const es_named *wanted, const es_named *taken)
{
    const char *noun = es_space_noun(wanted->space);
    const earshot_place place = name_place(reader);
    if (taken->place.file == place.file) {
        es_hint(es_invalid(reader, place, "a second %s named '%s'; the first stands in line %u", noun, wanted->name,
                           taken->place.line),
                "every %s has a name of its own", noun);
    } else {
        es_hint(es_invalid(reader, place, "a second %s named '%s'; the first stands in line %u of %s", noun,
                           wanted->name, taken->place.line, reader->sources.item[taken->place.file].name),
                "every %s has a name of its own", noun);
    }
    return false;
}

bool es_declare(es_reader *reader, const es_statement *statement, const void *item, bool broken)
{
    const char *name = name_of(statement, item);
    if (!name) return true; /* the name could not be read, which has been said */
    const es_named wanted = {
        .space = statement->space,
        .name = name,
        .place = keyword_place(reader),
        .item = broken ? ES_BROKEN : reader->list[statement->list].n,
        .band_hz = statement->space == ES_SPACE_RADIO ? ((const earshot_radio *)item)->band_hz : NAN,
        .builtin = reader->file == ES_FILE_BUILTIN,
        .replaces = statement->space == ES_SPACE_MATERIAL && ((const earshot_material *)item)->replaces,
    };
    es_named *taken = find_taken(reader, &wanted);
    /* What was stated to replace this one stays in its place, whichever comes first in the text. */
    if (taken && taken->replaces && !wanted.replaces) return true;
    if (taken && !taken->builtin && taken->replaces == wanted.replaces) return name_taken(reader, &wanted, taken);
    if (taken) {
        /* A plan may have its own idea of a built-in material. */
        const size_t next = taken->next;
        *taken = wanted;
        taken->next = next;
        return true;
    }
    if (es_names_add(&reader->names, wanted)) return true;
    reader->memory_out = true;
    return false;
}

/* Counted as built in, so that a real definition may take the name. */
void es_declare_lost(es_reader *reader)
{
    if (reader->tokens.n < 2 || reader->tokens.token[1].key) return;
    const es_token *token = &reader->tokens.token[1];
    const char *name = es_keep(reader, token->value, token->n_value);
    if (!name) return;
    for (es_space space = ES_SPACE_NONE + 1; space < ES_SPACES; space++) {
        if (es_names_find(&reader->names, space, name, NULL)) continue;
        const es_named lost = {.space = space,
                               .name = name,
                               .place = keyword_place(reader),
                               .item = ES_BROKEN,
                               .band_hz = NAN,
                               .builtin = true};
        if (!es_names_add(&reader->names, lost)) reader->memory_out = true;
    }
}
