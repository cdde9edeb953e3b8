# Read results.csv: for each load of bars the wet size for a finished 200 mm, and what one piece will finish at.
results <- read.csv(commandArgs(TRUE)[1])
total <- subset(results, quantity == "total_shrinkage" & (is.na(batch) | batch == "") & !is.na(next_low))
wet <- 200 * total$wet_size_factor
low <- wet * (1 - total$next_high / 100)
high <- wet * (1 - total$next_low / 100)
cat(sprintf("%s;%s;%.15g;%.15g;%.15g\n", total$body, total$cone, wet, low, high), sep = "")
