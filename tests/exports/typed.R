# Runs the guide's lines for R and writes each table as R has it, for typed.py: a line of classes, then the cells, `-`
# where there is nothing and a letter before everything else.
source("guide.R", encoding = "UTF-8")
written <- function(cells) {
  text <- if (is.numeric(cells)) sprintf("%.17g", as.double(cells)) else as.character(cells)
  ifelse(is.na(cells), "-", paste0("=", text))
}
for (name in names(tables)) {
  table <- tables[[name]]
  cells <- lapply(table, function(cells) c(class(cells)[1], written(cells)))
  lines <- as.data.frame(cells, check.names = FALSE, stringsAsFactors = FALSE)
  write.csv(lines, paste0(name, ".typed"), row.names = FALSE, fileEncoding = "UTF-8")
}
