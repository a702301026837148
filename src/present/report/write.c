/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/report/adopt.h"
#include "present/report/sections.h"

/* The client reads from the top: what we propose, then why; numbers come last. */
static es_section *const SECTION[] = {
    es_section_cover, es_section_answer,   es_section_maps,    es_section_devices,     es_section_arrangement,
    es_section_why,   es_section_readings, es_section_what_if, es_section_assumptions, es_section_appendix};

static bool is_sound(const earshot_report_request *request)
{
    if (request->n_checks == 0 || (unsigned)request->language >= EARSHOT_LANGUAGES) return false;
    for (size_t i = 1; i < request->n_checks; i++)
        if (request->check[i].n_devices != request->check[0].n_devices) return false;
    for (size_t i = 0; i < request->n_maps; i++)
        if (!request->map[i].grid || request->map[i].grid->rows * request->map[i].grid->columns == 0) return false;
    return true;
}

static earshot_status write_out(const es_report *r, const earshot_watch *watch, earshot_text *report)
{
    for (size_t i = 0; i < sizeof SECTION / sizeof SECTION[0]; i++) SECTION[i](r);
    if (r->document->status) return r->document->status;
    if (r->request->format == EARSHOT_REPORT_HTML) return es_document_html(r->document, watch, report);
    return es_document_pdf(r->document, watch, report);
}

/* With a placement its verdicts are what is proposed. */
earshot_status earshot_report_write(const earshot_report_request *request, const earshot_watch *watch,
                                    earshot_text *report)
{
    es_document document;
    earshot_check adopted = {0};
    const size_t before = report->size;
    if (!is_sound(request)) return EARSHOT_ARGUMENT;
    if (!es_document_open(&document, request->language, request->paper)) return EARSHOT_MEMORY;
    earshot_status status = EARSHOT_OK;
    if (request->placement) status = es_adopt(&request->check[0], request->placement, &adopted);
    const es_report r = {request, request->placement ? &adopted : &request->check[0],
                         earshot_site_plan(request->check[0].site), &document, request->language};
    if (status == EARSHOT_OK) status = write_out(&r, watch, report);
    es_document_close(&document);
    es_adopted_clear(&adopted);
    if (status == EARSHOT_OK && report->failed) status = EARSHOT_MEMORY;
    if (status != EARSHOT_OK && report->data) report->data[report->size = before] = '\0';
    return status;
}
