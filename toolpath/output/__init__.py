"""What the commands write and say: report, words, files; no judgement."""
