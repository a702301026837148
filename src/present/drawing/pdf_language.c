/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What cairo 1.16 does not say in a PDF: its language, that its title is to be shown, and that it is tagged. All are
 * keys of the catalog, so the catalog is written once more behind the file, as ISO 32000-1, 7.5.6 "Incremental Updates"
 * allows: a new object, a cross-reference section with that one entry, and a trailer that points back to the first
 * section. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "present/drawing/sheet.h"

/* A PDF holds NUL bytes in its streams; searching goes by length. */
static const char *find_back(const char *data, size_t size, const char *word)
{
    const size_t length = strlen(word);
    for (size_t i = size >= length ? size - length + 1 : 0; i-- > 0;)
        if (memcmp(data + i, word, length) == 0) return data + i;
    return NULL;
}

/* The number behind a key of the trailer; -1 if it is not there. */
static long number_behind(const char *trailer, const char *key)
{
    const char *at = strstr(trailer, key);
    return at ? strtol(at + strlen(key), NULL, 10) : -1;
}

earshot_status es_pdf_state_language(earshot_text *out, size_t from, earshot_language language)
{
    if (out->failed) return EARSHOT_MEMORY;
    const char *data = out->data + from;
    const size_t size = out->size - from;
    const char *trailer = find_back(data, size, "trailer");
    const char *catalog = find_back(data, size, "/Type /Catalog");
    if (!trailer || !catalog) return EARSHOT_INTERNAL;
    const long root = number_behind(trailer, "/Root "), info = number_behind(trailer, "/Info ");
    const long objects = number_behind(trailer, "/Size "), first = number_behind(trailer, "startxref");
    const char *end = strstr(catalog, "endobj");
    if (root < 0 || info < 0 || objects < 0 || first < 0 || !end) return EARSHOT_INTERNAL;
    earshot_text keys = {0};
    const char *last = end;
    while (last > catalog && memcmp(last, ">>", 2) != 0) last--;
    es_text_add_bytes(&keys, catalog, (size_t)(last - catalog));
    static const char MARKED[] = "   /MarkInfo << /Marked true >>\n";
    const bool marked = keys.data && strstr(keys.data, "/StructTreeRoot") && !strstr(keys.data, "/MarkInfo");
    const size_t object_at = size;
    es_text_format(out,
                   "%ld 0 obj\n<< %s   /Lang (%s)\n%s   /ViewerPreferences << /DisplayDocTitle true >>\n>>\nendobj\n",
                   root, keys.data ? keys.data : "", earshot_language_code(language), marked ? MARKED : "");
    const size_t section_at = out->size - from;
    es_text_format(out,
                   "xref\n%ld 1\n%010zu 00000 n \ntrailer\n<< /Size %ld\n   /Root %ld 0 R\n   /Info %ld 0 R\n"
                   "   /Prev %ld\n>>\nstartxref\n%zu\n%%%%EOF\n",
                   root, object_at, objects, root, info, first, section_at);
    const bool failed = keys.failed || out->failed;
    earshot_text_clear(&keys);
    return failed ? EARSHOT_MEMORY : EARSHOT_OK;
}
