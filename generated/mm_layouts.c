/* SPDX-License-Identifier: MIT */
/* The layouts built together, by id. Made by matrixmap 0.1.0. */
#include "mm_layouts.h"

static const char id_of_mm_quillon8_de_DE_positional[] MM_TABLE = "quillon8-de-DE-positional";
static const char title_of_mm_quillon8_de_DE_positional[] MM_TABLE = "Quillon 8, German (Germany), positional";
static const char id_of_mm_quillon8_de_DE_symbolic[] MM_TABLE = "quillon8-de-DE-symbolic";
static const char title_of_mm_quillon8_de_DE_symbolic[] MM_TABLE = "Quillon 8, German (Germany), symbolic";
static const char id_of_mm_quillon8_en_GB_symbolic[] MM_TABLE = "quillon8-en-GB-symbolic";
static const char title_of_mm_quillon8_en_GB_symbolic[] MM_TABLE = "Quillon 8, English (United Kingdom), symbolic";
static const char id_of_mm_quillon8_en_US_positional[] MM_TABLE = "quillon8-en-US-positional";
static const char title_of_mm_quillon8_en_US_positional[] MM_TABLE = "Quillon 8, English (United States), positional";
static const char id_of_mm_quillon8_en_US_symbolic[] MM_TABLE = "quillon8-en-US-symbolic";
static const char title_of_mm_quillon8_en_US_symbolic[] MM_TABLE = "Quillon 8, English (United States), symbolic";
static const char id_of_mm_quillon8_fr_FR_symbolic[] MM_TABLE = "quillon8-fr-FR-symbolic";
static const char title_of_mm_quillon8_fr_FR_symbolic[] MM_TABLE = "Quillon 8, French (France), symbolic";

const mm_layout mm_layouts[MM_LAYOUTS] MM_TABLE = {
    {id_of_mm_quillon8_de_DE_positional, title_of_mm_quillon8_de_DE_positional, mm_quillon8_de_DE_positional, MM_QUILLON8_DE_DE_POSITIONAL_SIZE}, /* Quillon 8, German (Germany), positional */
    {id_of_mm_quillon8_de_DE_symbolic, title_of_mm_quillon8_de_DE_symbolic, mm_quillon8_de_DE_symbolic, MM_QUILLON8_DE_DE_SYMBOLIC_SIZE}, /* Quillon 8, German (Germany), symbolic */
    {id_of_mm_quillon8_en_GB_symbolic, title_of_mm_quillon8_en_GB_symbolic, mm_quillon8_en_GB_symbolic, MM_QUILLON8_EN_GB_SYMBOLIC_SIZE}, /* Quillon 8, English (United Kingdom), symbolic */
    {id_of_mm_quillon8_en_US_positional, title_of_mm_quillon8_en_US_positional, mm_quillon8_en_US_positional, MM_QUILLON8_EN_US_POSITIONAL_SIZE}, /* Quillon 8, English (United States), positional */
    {id_of_mm_quillon8_en_US_symbolic, title_of_mm_quillon8_en_US_symbolic, mm_quillon8_en_US_symbolic, MM_QUILLON8_EN_US_SYMBOLIC_SIZE}, /* Quillon 8, English (United States), symbolic */
    {id_of_mm_quillon8_fr_FR_symbolic, title_of_mm_quillon8_fr_FR_symbolic, mm_quillon8_fr_FR_symbolic, MM_QUILLON8_FR_FR_SYMBOLIC_SIZE}, /* Quillon 8, French (France), symbolic */
};
