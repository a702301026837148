/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every name that is used must be the name of something. */
#include <string.h>

#include "base/text.h"
#include "plan/check.h"

enum { NAMES_SHOWN = 6 };

static void hint_known(es_checker *checker, earshot_error *e, es_space space)
{
    const es_names *names = &checker->reader->names;
    earshot_text all = {0};
    size_t n = 0;
    for (size_t i = 0; i < names->n && n <= NAMES_SHOWN; i++) {
        if (names->named[i].space != space || names->named[i].builtin) continue;
        if (n++ == NAMES_SHOWN)
            es_text_add(&all, ", ...");
        else
            es_text_format(&all, "%s%s", all.size ? ", " : "", names->named[i].name);
    }
    if (all.data && !all.failed)
        es_hint(e, "the plan has: %s", all.data);
    else if (!all.failed) /* else memory is out: half a list would mislead */
        es_hint(e, "the plan has no %s", es_space_noun(space));
    earshot_text_clear(&all);
}

static void unknown_name(es_checker *checker, es_space space, const char *name, earshot_place place)
{
    earshot_error *e = es_invalid(checker->reader, place, "unknown %s '%s'", es_space_noun(space), name);
    if (!e) return;
    const char *near = es_names_nearest(&checker->reader->names, space, name);
    const char *more = space == ES_SPACE_MATERIAL ? "'earshot materials' lists all built-in ones" : "";
    if (near)
        es_hint(e, *more ? "did you mean '%s'? %s" : "did you mean '%s'?%s", near, more);
    else if (*more)
        es_hint(e, "%s", more);
    else
        hint_known(checker, e, space);
}

static bool is_known(const es_checker *checker, es_space space, const char *name)
{
    return es_names_find(&checker->reader->names, space, name, NULL) != NULL;
}

static void check_field(es_checker *checker, const es_field *field, size_t nth, const void *item, earshot_place place)
{
    const char *name = *(const char *const *)es_member(item, field->at);
    if (!name || is_known(checker, field->space, name)) return;
    es_reader *reader = checker->reader;
    const earshot_place where =
        field->positional ? es_positional_place(reader, place, nth) : es_key_place(reader, place, field->key);
    unknown_name(checker, field->space, name, where);
}

static void check_item(es_checker *checker, const es_statement *statement, const void *item, earshot_place place)
{
    size_t nth = 0;
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        const bool refers = field->type == ES_FIELD_REFERENCE || field->type == ES_FIELD_GROUND;
        if (refers) check_field(checker, field, nth, item, place);
        nth += field->positional;
    }
}

static void check_list(es_checker *checker, es_list_id list)
{
    const es_reader *reader = checker->reader;
    for (size_t i = 0; i < reader->list[list].n && !es_report_full(&reader->report); i++) {
        const void *item = es_list_item(reader, list, i);
        check_item(checker, es_statement_of(list, item), item, *(const earshot_place *)item);
    }
}

static void check_layers(es_checker *checker, const earshot_material *material)
{
    for (size_t i = 0; i < material->n_layers; i++) {
        const char *name = material->layer[i].electrical;
        if (is_known(checker, ES_SPACE_ELECTRICAL, name)) continue;
        unknown_name(checker, ES_SPACE_ELECTRICAL, name,
                     es_element_place(checker->reader, material->place, "layers", i));
    }
}

static void check_swaps(es_checker *checker, const earshot_scene *scene)
{
    for (size_t i = 0; i < scene->n_swaps; i++) {
        const earshot_place place = es_element_place(checker->reader, scene->place, "swap", i);
        const earshot_swap *swap = &scene->swap[i];
        if (!is_known(checker, ES_SPACE_MATERIAL, swap->from)) {
            unknown_name(checker, ES_SPACE_MATERIAL, swap->from, place);
        }
        if (!is_known(checker, ES_SPACE_MATERIAL, swap->to)) {
            unknown_name(checker, ES_SPACE_MATERIAL, swap->to, place);
        }
        for (size_t j = 0; j < i; j++) {
            if (strcmp(scene->swap[j].from, swap->from) != 0) continue;
            es_hint(es_invalid(checker->reader, place, "the scene swaps '%s' twice", swap->from), "leave one out");
            break;
        }
    }
}

/* Several entries of one statement name one radio: once is enough. */
static void check_capacities(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    for (size_t i = 0; i < plan->n_capacities; i++) {
        const earshot_capacity *c = &plan->capacity[i];
        if (i && c->radio == plan->capacity[i - 1].radio) continue;
        if (is_known(checker, ES_SPACE_RADIO, c->radio)) continue;
        unknown_name(checker, ES_SPACE_RADIO, c->radio, es_positional_place(checker->reader, c->place, 0));
    }
}

static void check_ground(es_checker *checker)
{
    const es_statement *ground = es_statement_find("ground", 6);
    check_item(checker, ground, checker->plan, checker->reader->once[ground - es_statements]);
}

void es_check_names(es_checker *checker)
{
    const earshot_plan *plan = checker->plan;
    /* What is missing here may stand in a file that could not be read, which has been said. */
    if (checker->reader->lost_files) return;
    check_ground(checker);
    for (es_list_id list = 0; list < ES_LISTS; list++) {
        if (list != ES_LIST_CAPACITY) check_list(checker, list);
    }
    for (size_t i = 0; i < plan->n_materials; i++) check_layers(checker, &plan->material[i]);
    for (size_t i = 0; i < plan->n_scenes; i++) check_swaps(checker, &plan->scene[i]);
    check_capacities(checker);
}
