"""The invented workshop whose three clay bodies the demonstration workbooks are about; every number is made up."""
